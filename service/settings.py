"""Settings, read from the environment once, at the start; a bad value is refused there and then."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal, get_args
from urllib.parse import urlsplit

import msgspec
from msgspec import Meta

from service.catalogue.loader import STANDARD

PREFIX = "LATHWIND_"
Level = Literal["debug", "info", "warning", "error"]


class SettingsError(Exception):
    """A setting that cannot be used; the text names the variable, its value and what is allowed."""


class Settings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Every setting; the variable is the member's name in capitals after `LATHWIND_`."""

    host: Annotated[str, Meta(min_length=1, max_length=255, description="Address to listen on.")] = "127.0.0.1"
    port: Annotated[int, Meta(ge=1, le=65535, description="Port to listen on.")] = 8000
    workers: Annotated[int, Meta(ge=1, le=64, description="Processes that serve.")] = 1
    catalogue: Annotated[str, Meta(min_length=1, description="Path of the catalogue file.")] = str(STANDARD)
    log_level: Annotated[Level, Meta(description="Log level.")] = "info"
    body_limit_bytes: Annotated[
        int, Meta(ge=1024, le=1_048_576, description="Maximum size of the body of a request for one fitting.")
    ] = 65_536
    large_body_limit_bytes: Annotated[
        int,
        Meta(
            ge=65_536,
            le=16_777_216,
            description="Maximum size of a batch, a table or a stored result, decompressed; a stream has none.",
        ),
    ] = 1_048_576
    body_idle_s: Annotated[float, Meta(ge=0.1, le=600, description="Seconds the service waits for more of a body.")] = 15.0
    batch_items_max: Annotated[
        int, Meta(ge=1, le=10_000_000, description="Maximum number of items of one batch, stream or table.")
    ] = 1_000_000
    batch_line_bytes_max: Annotated[
        int, Meta(ge=1024, le=1_048_576, description="Maximum length of a line of a stream or an item of a batch.")
    ] = 65_536
    heavy_s: Annotated[
        float,
        Meta(
            ge=0.1,
            le=600,
            description="Seconds that a document, alternatives, limits, a calibration or a verification may take.",
        ),
    ] = 20.0
    bytes_in_flight_max: Annotated[
        int, Meta(ge=1_048_576, le=1_073_741_824, description="Bytes of bodies that one process holds at once.")
    ] = 67_108_864
    concurrent_max: Annotated[int, Meta(ge=1, le=100_000, description="Requests answered at once by one process.")] = 512
    caller_requests_max: Annotated[
        int, Meta(ge=1, le=100_000, description="Requests of one caller answered at once by one process.")
    ] = 64
    caller_batches_max: Annotated[
        int, Meta(ge=1, le=1000, description="Batches, streams and tables of one caller answered at once by one process.")
    ] = 4
    solvers_max: Annotated[
        int, Meta(ge=1, le=64, description="Cutting plans made at once by one process; each has a process of its own.")
    ] = 2
    drain_s: Annotated[int, Meta(ge=1, le=3600, description="Seconds that requests get to end when it stops.")] = 30
    hosts: Annotated[str, Meta(description="Host names it answers under, with commas between; empty for any.")] = ""
    public_url: Annotated[
        str,
        Meta(description="Address at which people reach it, for the code on sheets; empty: the code has the digest alone."),
    ] = ""
    proxies: Annotated[str, Meta(description="Addresses of proxies whose X-Forwarded-For counts.")] = "127.0.0.1"
    keys_file: Annotated[str, Meta(description="Path of the key file; without one the service is open.")] = ""
    open: Annotated[bool, Meta(description="Serve without keys on an address that others can reach.")] = False
    cors_origins: Annotated[str, Meta(description="Origins whose pages may call it, with commas between.")] = ""
    rate_limit: Annotated[
        str, Meta(description="Requests of one caller to one process, such as 6000/minute; empty for no limit.")
    ] = ""
    traces: Annotated[bool, Meta(description="Send spans with OpenTelemetry; needs the extra `traces`.")] = False

    @property
    def catalogue_path(self) -> Path:
        """Where the catalogue file lies."""
        return Path(self.catalogue)


def from_environment(environment: Mapping[str, str]) -> Settings:
    """The settings of an environment.

    Raises:
        SettingsError: a variable is unknown or has a value that is not allowed.
    """
    known = {f"{PREFIX}{name.upper()}": name for name in Settings.__struct_fields__}
    unknown = [name for name in environment if name.startswith(PREFIX) and name not in known]
    if unknown:
        raise SettingsError(f"{', '.join(unknown)}: there is no such setting; known are {', '.join(known)}")
    given = {member: environment[name] for name, member in known.items() if name in environment}
    try:
        settings = msgspec.convert(given, Settings, strict=False)
    except msgspec.ValidationError as error:
        reason, _, place = str(error).partition(" - at `$.")
        if reason.startswith("Invalid enum value"):  # the one that has choices
            reason += f", must be one of {', '.join(get_args(Level))}"
        raise SettingsError(f"{PREFIX}{place.rstrip('`').upper()}: {reason}") from error
    _check_address("public_url", settings.public_url)
    return settings


def _check_address(name: str, text: str) -> None:
    """Refuse what no browser would open: people scan it from a sheet, long after the service has started.

    Raises:
        SettingsError: it is no address of a site.
    """
    try:
        parts = urlsplit(text)
        sound = parts.scheme in {"http", "https"} and bool(parts.hostname) and parts.port != 0
    except ValueError:
        sound = False
    else:
        sound = sound and not (parts.username or parts.query or parts.fragment) and text.isprintable() and " " not in text
    if text and not sound:
        raise SettingsError(f"{PREFIX}{name.upper()}: {text!r}: write the address of a site, such as https://fit.example")
