"""Problems: one table feeds the handler, the contract and the pages under /problems/ (RFC 9457)."""

from typing import Annotated, NamedTuple

import msgspec
from msgspec import UNSET, UnsetType

from service.contract.units import text


class ProblemKind(NamedTuple):
    """A kind of problem: its status, its title and what it means."""

    status: int
    title: str
    meaning: str


KINDS = {
    "malformed-body": ProblemKind(
        400,
        "The body cannot be read",
        "The body is empty, is not JSON, is not UTF-8, or is nested too deep. Nothing was calculated. "
        "Send one JSON document.",
    ),
    "malformed-head": ProblemKind(
        400, "The head of the request is wrong", "A request of HTTP/1.1 has exactly one header Host (RFC 9112, 3.2)."
    ),
    "unauthorized": ProblemKind(
        401, "A key is needed", "Send a key as `Authorization: Bearer …` or as `X-API-Key: …`; the operator hands them out."
    ),
    "forbidden": ProblemKind(403, "The key has no right to this", "The detail names the scope that is missing."),
    "not-found": ProblemKind(404, "There is nothing here", "The path is not one of the contract's. See /openapi.json."),
    "method-not-allowed": ProblemKind(
        405, "The method is not allowed here", "The header Allow lists the methods of this path."
    ),
    "not-acceptable": ProblemKind(
        406, "No acceptable form of answer", "The header Accept excludes every media type this operation answers with."
    ),
    "contradictory-measurements": ProblemKind(
        409,
        "The measurements contradict each other",
        "Each entry of `errors` names a measurement and says why no coil of this slat on this tube can give it. "
        "Measure again.",
    ),
    "too-slow": ProblemKind(
        408, "The body arrived too slowly", "The detail says how long the service waits for more of a body."
    ),
    "body-too-large": ProblemKind(413, "The body is too large", "The detail says the limit. Send less at a time."),
    "wrong-host": ProblemKind(421, "The wrong host", "The header Host names no host that this service answers for."),
    "unsupported-media-type": ProblemKind(
        415,
        "The body's media type is not supported",
        "Send a media type that the contract lists for this operation, as UTF-8; gzip only where its description allows it.",
    ),
    "invalid-request": ProblemKind(
        422,
        "The request does not match the contract",
        "Each entry of `errors` names a member by JSON Pointer, or a query parameter, and says what is allowed. "
        "The contract is strict: no text for a number, no unknown member, no member twice.",
    ),
    "too-many-requests": ProblemKind(
        429,
        "Too many requests",
        "Of one caller, in a time or at once; the detail says which. Retry-After says in how many seconds the next one may "
        "come, RateLimit what is left where the rate is limited.",
    ),
    "no-upgrade": ProblemKind(
        426, "No other protocol is spoken", "Send the request again without the header Upgrade; HTTP/1.1 is spoken here."
    ),
    "internal-error": ProblemKind(
        500,
        "The service failed",
        "The fault is ours and is in our log under the request id that `instance` names. "
        "Nothing is known to be wrong with the request.",
    ),
    "busy": ProblemKind(
        503, "Too much at once", "The service answers as many requests as it can. Retry-After says when to try again."
    ),
    "took-too-long": ProblemKind(
        503, "It took too long", "The calculation or document was given up after the time that the detail says."
    ),
    "not-ready": ProblemKind(
        503, "The service is not ready", "A known fitting did not come out as it must. Retry-After says when to ask again."
    ),
}


class Fault(msgspec.Struct, frozen=True, omit_defaults=True):
    """What is wrong with one member or one query parameter."""

    detail: Annotated[str, text("What is wrong, and what is allowed.")]
    pointer: Annotated[str, text("JSON Pointer into the body; absent where it is not a member.")] | UnsetType = UNSET
    parameter: Annotated[str, text("The query parameter; absent where it is none.")] | UnsetType = UNSET


class Problem(msgspec.Struct, frozen=True, omit_defaults=True):
    """A problem document (RFC 9457)."""

    type: Annotated[str, text("A path that answers with what it means.")]
    title: Annotated[str, text("What kind of problem it is.")]
    status: Annotated[int, text("The HTTP status.")]
    detail: Annotated[str, text("What happened this time.")]
    instance: Annotated[str, text("The request's id.")]
    errors: Annotated[list[Fault], text("Every member at fault; absent where none is.")] | UnsetType = UNSET


class ProblemPage(msgspec.Struct, frozen=True):
    """What one type of problem means."""

    type: Annotated[str, text("Its path.")]
    title: Annotated[str, text("What kind of problem it is.")]
    status: Annotated[int, text("The HTTP status.")]
    meaning: Annotated[str, text("What it means, and what to do.")]


class Refusal(Exception):  # noqa: N818 - a refusal is an answer, not a fault of the program
    """A request that is answered with a problem of the table."""

    def __init__(
        self,
        kind: str,
        detail: str,
        *,
        faults: list[Fault] | None = None,
        headers: tuple[tuple[bytes, bytes], ...] = (),
    ) -> None:
        """Refuse with a kind of the table, what happened, the members at fault, and headers that go with it."""
        super().__init__(detail)
        self.kind = kind
        self.detail = detail
        self.faults = faults or []
        self.headers = headers


def problem(kind: str, *, detail: str, instance: str, faults: list[Fault] | None = None) -> Problem:
    """The problem document of a kind.

    Raises:
        KeyError: the table has no such kind.
    """
    row = KINDS[kind]
    return Problem(
        type=f"/problems/{kind}",
        title=row.title,
        status=row.status,
        detail=detail,
        instance=instance,
        errors=faults or UNSET,
    )
