"""API keys: who gets in, which files are refused and why, and that a change of the file takes effect without a restart.

Published value: the SHA-256 of `abc`, NIST FIPS 180-2, appendix B.1. All keys here are invented for the test.
"""

import errno
import hmac
import os
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from structlog.testing import CapturingLogger

from service.contract.problems import Refusal
from service.web import keys
from service.web.keys import SCOPES, Key, KeyRing, KeysError, admit, entry, is_loopback, live_keys, load

ABC_SHA256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"  # published: FIPS 180-2, B.1
SHOP, OFFICE = "shop-key-nobody-guesses", "office-key-nobody-guesses"


def ring(*given):
    return KeyRing(tuple((sha256(key.encode()).digest(), Key(name, frozenset(scopes))) for name, key, scopes in given))


RING = ring(("shop", SHOP, ("calculate",)), ("office", OFFICE, ("calculate", "batch")), ("last", "third", ("metrics",)))


def written(folder, text):
    path = folder / "keys.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_hash_is_sha_256_of_the_key(tmp_path):
    path = written(tmp_path, f'[[key]]\nname = "abc"\nscopes = ["metrics"]\nsha256 = "{ABC_SHA256}"\n')
    assert load(path).match("Bearer abc", "") == Key("abc", frozenset({"metrics"}))
    assert load(path).match("Bearer abd", "") is None


@pytest.mark.parametrize(
    ("authorization", "x_api_key", "name"),
    [
        (f"Bearer {SHOP}", "", "shop"),
        (f"bEARER   {SHOP}", "", "shop"),
        ("", OFFICE, "office"),
        (f"Bearer {OFFICE}", OFFICE, "office"),
        (f"Bearer {SHOP}", OFFICE, None),
        (f"Bearer {SHOP}", "nonsense", None),
        ("Bearer nonsense", SHOP, None),
        ("Basic c2hvcDpzaG9w", SHOP, None),
        (f"Bearer {SHOP}, Bearer {SHOP}", "", None),
        (f"Bearer {SHOP}\n", "", None),
        ("Bearer", "", None),
        ("Bearer ", "", None),
        (SHOP, "", None),
        ("", f"{SHOP}, {SHOP}", None),
        ("", SHOP.upper(), None),
        ("", SHOP[:-1], None),
        ("", sha256(SHOP.encode()).hexdigest(), None),
        ("", "", None),
    ],
)
def test_who_gets_in(authorization, x_api_key, name):
    found = RING.match(authorization, x_api_key)
    assert (found.name if found else None) == name


def test_a_key_longer_than_any_of_ours_is_not_looked_up():
    long = "k" * (keys.PRESENTED_MAX + 1)
    assert ring(("long", long, ("batch",))).match("", long) is None
    assert ring(("long", long[:-1], ("batch",))).match("", long[:-1]) is not None


@pytest.mark.parametrize("presented", [SHOP, OFFICE, "third", "none of them"])
def test_every_entry_is_compared_whichever_matches(monkeypatch, presented):
    compared = []
    compare = hmac.compare_digest

    def counting(left, right):
        compared.append(left)
        return compare(left, right)

    monkeypatch.setattr(hmac, "compare_digest", counting)
    RING.match("", presented)
    assert len(compared) == 3


@given(st.text(), st.text())
def test_whatever_is_presented_is_answered(authorization, x_api_key):
    assert RING.match(authorization, x_api_key) is None


@given(st.binary(max_size=80), st.sampled_from(["", "Bearer "]))
def test_header_bytes_never_raise(presented, scheme):
    value = presented.decode("latin-1")
    assert RING.match(scheme + value, value) is None


def test_the_door_opens_for_the_scope_only():
    assert admit(RING, "", OFFICE, "batch").name == "office"
    with pytest.raises(Refusal, match="'shop' has no scope 'batch'") as refused:
        admit(RING, "", SHOP, "batch")
    assert refused.value.kind == "forbidden"


@pytest.mark.parametrize(
    ("authorization", "challenge"),
    [("", b'Bearer realm="lathwind"'), ("Bearer wrong", b'Bearer realm="lathwind", error="invalid_token"')],
)
def test_without_a_known_key_the_answer_says_how(authorization, challenge):
    """RFC 6750, 3 and 3.1: a challenge, with an error code only where a token came."""
    with pytest.raises(Refusal) as refused:
        admit(RING, authorization, "", "calculate")
    assert refused.value.kind == "unauthorized"
    assert refused.value.headers == ((b"www-authenticate", challenge),)
    assert "wrong" not in refused.value.detail


GOOD = f'[[key]]\nname = "shop"\nscopes = ["calculate", "batch"]\nsha256 = "{ABC_SHA256}"\n'
TWICE = GOOD + GOOD.replace('"shop"', '"office"')


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "there is no [[key]]"),
        ("key = []", "there is no [[key]]"),
        ("[[key]", "not TOML"),
        ("\xff", "not TOML"),
        (GOOD.replace("batch", "batches"), "key[0].scopes: there is no scope 'batches'; known are calculate, batch"),
        (GOOD.replace('"calculate", "batch"', ""), "key[0].scopes: Expected `array` of length >= 1"),
        (GOOD.replace("batch", "calculate"), "key[0].scopes: a scope is named twice"),
        (GOOD.replace("ba7816", "BA7816"), "key[0].sha256: must be 64 hexadecimal digits"),
        (GOOD.replace("ba7816", ""), "key[0].sha256: must be 64 hexadecimal digits"),
        (GOOD.replace("ba7816", "xx7816"), "key[0].sha256: must be 64 hexadecimal digits"),
        (GOOD.replace('5ad"', '5ad\\n"'), "key[0].sha256: must be 64 hexadecimal digits"),
        (TWICE, "key[1].sha256: the same hash is there twice"),
        (GOOD + GOOD.replace("ba7816", "ba7817"), "key[1].name: 'shop' is there twice"),
        (GOOD.replace('"shop"', '"Shop 1"'), "key[0].name: must be 1 to 64 small letters"),
        (GOOD.replace('"shop"', '""'), "key[0].name: must be 1 to 64 small letters"),
        (GOOD.replace("name", "nam"), "key[0]: Object contains unknown field `nam`"),
        (GOOD + 'key = "x"\n', "key[0]: Object contains unknown field `key`"),
        ("other = 1\n" + GOOD, "top level: Object contains unknown field `other`"),
        (GOOD.replace('sha256 = "', 'sha256 = 5 #"'), "key[0].sha256: Expected `str`, got `int`"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused_with_place_and_reason(tmp_path, text, told):
    path = tmp_path / "keys.toml"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(KeysError) as refused:
        load(path)
    assert str(refused.value).startswith(f"{path}: {told}")


def test_every_fault_is_told_at_once(tmp_path):
    bad = GOOD.replace("batch", "batches").replace("ba7816", "")
    with pytest.raises(KeysError) as refused:
        load(written(tmp_path, bad + bad))
    assert len(str(refused.value).splitlines()) == 5  # two hashes, two scopes, one name twice


def test_a_key_put_where_its_hash_belongs_is_not_repeated(tmp_path):
    for text in (GOOD.replace(ABC_SHA256, SHOP), f"[[key]]\nsha256 = {SHOP}\n"):
        with pytest.raises(KeysError) as refused:
            load(written(tmp_path, text))
        assert SHOP not in str(refused.value)


def test_a_missing_and_a_huge_file_are_refused(tmp_path):
    with pytest.raises(KeysError, match="cannot be read: No such file"):
        load(tmp_path / "none.toml")
    with pytest.raises(KeysError, match="at most 1000000"):
        load(written(tmp_path, "#" * 1_000_001))


class Clock:
    """A clock that goes on when it is told to."""

    now_s = 100.0

    def __call__(self):
        """The time it was told."""
        return self.now_s


@pytest.fixture
def told(monkeypatch):
    """What is logged."""
    logger = CapturingLogger()
    monkeypatch.setattr(keys, "log", logger)
    return logger


def replace(path, text):
    """Put another file in its place, as secrets are mounted."""
    other = path.with_suffix(".new")
    other.write_text(text, encoding="utf-8")
    other.replace(path)


def test_a_new_file_is_taken_up(tmp_path, told):
    path = written(tmp_path, entry("shop", ("calculate",), SHOP))
    held = live_keys(path)
    replace(path, entry("shop", ("calculate",), SHOP) + entry("shop-next", ("calculate",), OFFICE))
    held.look()
    assert held.content.names == ["shop", "shop-next"]
    replace(path, entry("shop-next", ("calculate",), OFFICE))
    held.look()
    held.look()
    assert held.content.match("", SHOP) is None
    assert held.content.match("", OFFICE) is not None
    assert [(call.method_name, call.args) for call in told.calls] == [("info", ("keys_reloaded",))] * 2


DEEP = "a = " + "[" * 2000 + "]" * 2000
LONG = f"a = {'9' * 5000}"


@pytest.mark.parametrize(
    "broken", ["", "nonsense", GOOD.replace("batch", "batches"), GOOD.replace(ABC_SHA256, OFFICE), DEEP, LONG]
)
def test_a_broken_file_leaves_the_keys_as_they_are_and_is_tried_and_told_again(tmp_path, told, broken):
    path = written(tmp_path, entry("shop", ("calculate",), SHOP))
    clock = Clock()
    held = live_keys(path, clock=clock)
    replace(path, broken)
    for _ in range(20):
        held.look()
        clock.now_s += 1.0
        assert held.content.names == ["shop"]
    assert len(told.calls) == 6  # after 1, 2, 4, 5, 5 s: at second 0, 1, 3, 7, 12, 17
    for call in told.calls:
        assert (call.method_name, call.args, call.kwargs["still"]) == ("error", ("keys_not_reloaded",), ["shop"])
        assert OFFICE not in repr(call)
    replace(path, entry("office", ("batch",), OFFICE))
    clock.now_s += 5.0
    held.look()
    assert held.content.names == ["office"]


def test_a_file_that_could_not_be_read_for_a_while_is_read_though_it_has_not_changed_since(tmp_path, told, monkeypatch):
    path = written(tmp_path, entry("shop", ("calculate",), SHOP))
    clock = Clock()
    held = live_keys(path, clock=clock)
    replace(path, entry("desk", ("calculate",), OFFICE))

    def no_descriptors(*_given):
        raise OSError(errno.EMFILE, "Too many open files")

    with monkeypatch.context() as patched:
        patched.setattr(os, "open", no_descriptors)
        held.look()
    assert held.content.names == ["shop"]
    clock.now_s += 1.0
    held.look()
    assert held.content.names == ["desk"]
    assert [call.args for call in told.calls] == [("keys_not_reloaded",), ("keys_reloaded",)]


def test_a_file_that_goes_away_leaves_the_keys_as_they_are(tmp_path, told):
    path = written(tmp_path, entry("shop", ("calculate",), SHOP))
    held = live_keys(path)
    path.unlink()
    held.look()
    assert held.content.names == ["shop"]
    assert [call.args for call in told.calls] == [("keys_not_reloaded",)]


def test_a_link_that_is_turned_to_another_file_is_a_change(tmp_path, told):
    first, second = tmp_path / "first", tmp_path / "second"
    first.write_text(entry("shop", ("calculate",), SHOP), encoding="utf-8")
    second.write_text(entry("desk", ("calculate",), OFFICE), encoding="utf-8")
    link = tmp_path / "keys.toml"
    link.symlink_to(first)
    held = live_keys(link)
    link.unlink()
    link.symlink_to(second)
    held.look()
    assert held.content.names == ["desk"]
    assert told.calls[0].args == ("keys_reloaded",)


def test_the_first_file_must_be_in_order(tmp_path):
    with pytest.raises(KeysError):
        live_keys(tmp_path / "none.toml")


def test_a_pipe_is_refused_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "keys.toml")
    with pytest.raises(KeysError, match="no ordinary file"):
        load(tmp_path / "keys.toml")


def test_blanks_behind_a_key_are_no_part_of_it():
    known = ring(("shop", SHOP, ("calculate",)))
    assert known.match(f"Bearer {SHOP}  ", "") is not None
    assert known.match("", f"{SHOP} \t") is not None


def make(*arguments):
    top = Path(__file__).parents[2]
    return subprocess.run(
        [sys.executable, "-m", "service.web.keys", *arguments], cwd=top, capture_output=True, text=True, check=False
    )


def test_the_command_makes_a_key_and_its_entry(tmp_path):
    ran = make("web-shop", "calculate", "batch")
    assert ran.returncode == 0
    key = ran.stderr.splitlines()[1]
    assert len(key) == 43  # 32 bytes in base64 without padding
    assert key not in ran.stdout
    made = load(written(tmp_path, ran.stdout)).match(f"Bearer {key}", "")
    assert made == Key("web-shop", frozenset({"calculate", "batch"}))
    assert make("web-shop", "calculate").stderr.splitlines()[1] != key


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "NAME SCOPE"),
        (("shop",), "NAME SCOPE"),
        (("shop", "everything"), "there is no scope 'everything'"),
        (("Shop!", "batch"), "small letters"),
    ],
)
def test_the_command_says_what_is_wrong(arguments, told):
    ran = make(*arguments)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert told in ran.stderr
    assert "Traceback" not in ran.stderr


def test_an_entry_reads_back_as_it_was_written():
    read = msgspec.toml.decode(entry("shop", SCOPES, SHOP))
    assert read == {"key": [{"name": "shop", "scopes": list(SCOPES), "sha256": sha256(SHOP.encode()).hexdigest()}]}


@pytest.mark.parametrize(
    ("host", "loopback"),
    [
        ("127.0.0.1", True),
        ("127.8.8.8", True),
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),  # noqa: S104 - refused, not listened on
        ("192.0.2.1", False),
        ("::", False),
        ("10.0.0.7", False),
        ("localhost.example", False),
        ("", False),
    ],
)
def test_loopback_is_told_from_the_rest(host, *, loopback):
    assert is_loopback(host) is loopback


def test_the_run_book_shows_a_key_file_and_every_scope(tmp_path):
    text = (Path(__file__).parents[2] / "deploy/README.md").read_text(encoding="utf-8")
    section = text.partition("## Keys\n")[2].partition("\n## ")[0]
    shown = "".join(line.removeprefix("    ") + "\n" for line in section.partition("    [[key]]")[2].splitlines()[1:4])
    assert load(written(tmp_path, "[[key]]\n" + shown)).names == ["shop"]
    assert [scope for scope in SCOPES if f"| `{scope}` |" in section] == list(SCOPES)
