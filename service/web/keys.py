"""API keys: a file with the SHA-256 of each key, its name and its scopes; read again when it changes.

The file never holds a key, only hashes of random ones. `python -m service.web.keys NAME SCOPE...` makes a key: the
entry for the file goes to standard output, the key itself, once, to standard error.
"""

import hmac
import re
import sys
from collections.abc import Callable, Iterator
from hashlib import sha256
from ipaddress import ip_address
from pathlib import Path
from secrets import token_urlsafe
from time import monotonic
from typing import Annotated, Literal, NamedTuple, get_args

import msgspec
from msgspec import Meta

from service.catalogue import files
from service.contract.problems import Refusal
from service.web.live_file import LiveFile
from service.web.request_log import log
from service.words.languages import marked

Scope = Literal["calculate", "batch", "documents", "metrics"]
SCOPES: tuple[Scope, ...] = get_args(Scope)

SIZE_MAX_BYTES = 1_000_000
PRESENTED_MAX = 256
KEY_BYTES = 32

BEARER = re.compile(r"bearer +([!-~]+) *\Z", re.IGNORECASE)
"""`Authorization: Bearer …` (RFC 6750, 2.1), the token as any visible ASCII: what does not match is no key of ours."""

HASH = re.compile(r"[0-9a-f]{64}\Z")
NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,63}\Z")

CHALLENGE = b'Bearer realm="lathwind"'
CHALLENGE_WRONG = CHALLENGE + b', error="invalid_token"'


class KeysError(Exception):
    """A key file that cannot be used; the text names the file, the entry and the reason, a line each."""


class Key(NamedTuple):
    """A key that was presented and is known."""

    name: str
    scopes: frozenset[str]


class _Row(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One entry of the file."""

    name: str
    sha256: str
    scopes: Annotated[tuple[str, ...], Meta(min_length=1)]


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    key: tuple[_Row, ...] = ()


class KeyRing:
    """The keys of one state of the file."""

    def __init__(self, entries: tuple[tuple[bytes, Key], ...]) -> None:
        """Hold keys by their digests."""
        self._entries = entries

    @property
    def names(self) -> list[str]:
        """The names of the keys."""
        return [key.name for _, key in self._entries]

    def match(self, authorization: str, x_api_key: str) -> Key | None:
        """The key that is presented in `Authorization: Bearer`, in `X-API-Key`, or the same in both.

        Every entry is compared, in constant time each, so that the time tells nothing of which came close.
        """
        x_api_key = x_api_key.strip(" \t")
        bearer = BEARER.match(authorization)
        if authorization and not bearer:
            return None
        presented = bearer[1] if bearer else x_api_key
        if bearer and x_api_key and not hmac.compare_digest(_digest(presented), _digest(x_api_key)):
            return None
        if not presented or len(presented) > PRESENTED_MAX:
            return None
        digest = _digest(presented)
        found = None
        for known, key in self._entries:
            if hmac.compare_digest(known, digest):
                found = key
        return found


def _digest(presented: str) -> bytes:
    return sha256(presented.encode("utf-8", "surrogatepass")).digest()


def admit(ring: KeyRing, authorization: str, x_api_key: str, scope: Scope) -> Key:
    """The key that opens an operation.

    Raises:
        Refusal: no key, a wrong one, two that differ (`unauthorized`), or one without the scope (`forbidden`).
    """
    key = ring.match(authorization, x_api_key)
    if key is None:
        given = bool(authorization or x_api_key)
        raise Refusal(
            "unauthorized",
            marked("The key is not known.") if given else marked("Send a key as Authorization: Bearer or as X-API-Key."),
            headers=((b"www-authenticate", CHALLENGE_WRONG if given else CHALLENGE),),
        )
    if scope not in key.scopes:
        raise Refusal("forbidden", marked("The key '{name}' has no scope '{scope}'."), name=key.name, scope=scope)
    return key


def load(path: Path) -> KeyRing:
    """Read and check a key file.

    Raises:
        KeysError: the file is missing, is no TOML, has no keys, or one of its entries cannot be used.
    """
    try:
        rows = msgspec.toml.decode(files.read(path, bytes_max=SIZE_MAX_BYTES), type=_File).key
    except files.FileError as error:
        raise KeysError(str(error)) from error
    except msgspec.ValidationError as error:
        reason, _, place = str(error).partition(" - at ")
        raise KeysError(f"{path}: {place.strip('`').removeprefix('$.') or 'top level'}: {reason}") from error
    except (msgspec.DecodeError, ValueError, ArithmeticError, RecursionError) as error:
        # without the decoder's own words: they can quote the line
        raise KeysError(f"{path}: not TOML") from error
    if not rows:
        raise KeysError(f"{path}: there is no [[key]] in it")
    faults = list(_faults(rows))
    if faults:
        raise KeysError("\n".join(f"{path}: {place}: {reason}" for place, reason in faults))
    return KeyRing(tuple((bytes.fromhex(row.sha256), Key(row.name, frozenset(row.scopes))) for row in rows))


def _faults(rows: tuple[_Row, ...]) -> Iterator[tuple[str, str]]:
    """Every fault: where it stands and what it is. A hash is never repeated: it could be a key put there by mistake."""
    for index, row in enumerate(rows):
        place, earlier = f"key[{index}]", rows[:index]
        if not NAME.match(row.name):
            yield f"{place}.name", "must be 1 to 64 small letters, digits and hyphens, not a hyphen first"
        elif any(row.name == other.name for other in earlier):
            yield f"{place}.name", f"{row.name!r} is there twice"
        if not HASH.match(row.sha256):
            yield f"{place}.sha256", "must be 64 hexadecimal digits in small letters"
        elif any(row.sha256 == other.sha256 for other in earlier):
            yield f"{place}.sha256", "the same hash is there twice"
        for scope in row.scopes:
            if scope not in SCOPES:
                yield f"{place}.scopes", f"there is no scope {scope!r}; known are {', '.join(SCOPES)}"
        if len(set(row.scopes)) != len(row.scopes):
            yield f"{place}.scopes", "a scope is named twice"


def live_keys(path: Path, *, clock: Callable[[], float] = monotonic) -> LiveFile[KeyRing]:
    """The keys in use: those of the file as it is, or as it last was in order.

    Raises:
        KeysError: the file cannot be used now.
    """
    return LiveFile(
        path,
        load,
        taken=lambda ring: log.info("keys_reloaded", keys=ring.names),
        failed=lambda ring, reason: log.error("keys_not_reloaded", reason=reason, still=ring.names),
        clock=clock,
    )


def is_loopback(host: str) -> bool:
    """Whether an address to listen on can be reached from this machine only: without keys no other is safe."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def entry(name: str, scopes: tuple[str, ...], key: str) -> str:
    """The file's entry for a key.

    Raises:
        KeysError: the name or a scope is not allowed.
    """
    row = _Row(name, _digest(key).hex(), scopes)
    faults = [reason for _, reason in _faults((row,))]
    if faults:
        raise KeysError("\n".join(faults))
    listed = ", ".join(f'"{scope}"' for scope in scopes)
    return f'[[key]]\nname = "{name}"\nscopes = [{listed}]\nsha256 = "{row.sha256}"\n'


def main(arguments: list[str]) -> int:
    """Make a key; 2 when the arguments cannot be used."""
    if len(arguments) < 2:  # noqa: PLR2004 - a name and at least one scope
        sys.stderr.write(f"python -m service.web.keys NAME SCOPE...\nscopes: {', '.join(SCOPES)}\n")
        return 2
    name, *scopes = arguments
    key = token_urlsafe(KEY_BYTES)
    try:
        made = entry(name, tuple(scopes), key)
    except KeysError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    sys.stderr.write(f"The key of {name}, shown this once; hand it to its caller:\n{key}\nThe entry for the key file:\n")
    sys.stderr.flush()
    sys.stdout.write(made)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
