"""Problems: one table feeds the handler, the contract and the pages under /problems/ (RFC 9457).

What is wrong is held as a marked English text with its figures, and said in the caller's language when it is sent.
"""

from collections.abc import Sequence
from typing import Annotated, Any, NamedTuple

import msgspec
from msgspec import UNSET, UnsetType

from service.contract.units import text
from service.words.languages import language_of, marked

Figure = str | int | float
"""What a text has places for: a text, which is said as it is, or a number, which is said as the language writes it."""

MISMATCH = marked("The body does not match the contract.")
"""What is said of a body with a member that is missing or is not as the contract says."""
ONE_OF = marked("must be one of {choices}")
"""What is said where a value is none of those that may be chosen."""
AT_LEAST = marked("must be at least {limit}")
AT_MOST = marked("must be at most {limit}")
WHOLE_NUMBER = marked("must be a whole number")
ACTUAL_MAX = 60
"""Characters of a given value that are told; a longer one is not."""
WHOLE_MAX = 2**53
"""Whole numbers up to here are the same for every reader of JSON."""


class ProblemKind(NamedTuple):
    """A kind of problem: its status, its title and what it means."""

    status: int
    title: str
    meaning: str


KINDS = {
    "malformed-body": ProblemKind(
        400,
        marked("The body cannot be read"),
        "The body is empty, is not JSON, is not UTF-8, or is nested too deep. Nothing was calculated. "
        "Send one JSON document.",
    ),
    "malformed-head": ProblemKind(
        400, marked("The head of the request is wrong"), "A request of HTTP/1.1 has exactly one header Host (RFC 9112, 3.2)."
    ),
    "unauthorized": ProblemKind(
        401,
        marked("A key is needed"),
        "Send a key as `Authorization: Bearer …` or as `X-API-Key: …`; the operator hands them out.",
    ),
    "forbidden": ProblemKind(403, marked("The key has no right to this"), "The detail names the scope that is missing."),
    "not-found": ProblemKind(
        404, marked("There is nothing here"), "The path is not one of the contract's. See /openapi.json."
    ),
    "method-not-allowed": ProblemKind(
        405, marked("The method is not allowed here"), "The header Allow lists the methods of this path."
    ),
    "not-acceptable": ProblemKind(
        406,
        marked("No acceptable form of answer"),
        "The header Accept excludes every media type this operation answers with.",
    ),
    "contradictory-measurements": ProblemKind(
        409,
        marked("The measurements contradict each other"),
        "Each entry of `errors` names a measurement and says why no coil of this slat on this tube can give it. "
        "Measure again.",
    ),
    "too-slow": ProblemKind(
        408, marked("The body arrived too slowly"), "The detail says how long the service waits for more of a body."
    ),
    "body-too-large": ProblemKind(413, marked("The body is too large"), "The detail says the limit. Send less at a time."),
    "wrong-host": ProblemKind(421, marked("The wrong host"), "The header Host names no host that this service answers for."),
    "unsupported-media-type": ProblemKind(
        415,
        marked("The body's media type is not supported"),
        "Send a media type that the contract lists for this operation, as UTF-8, CSV also as UTF-16; gzip only where its "
        "description allows it.",
    ),
    "invalid-request": ProblemKind(
        422,
        marked("The request does not match the contract"),
        "Each entry of `errors` names a member by JSON Pointer, or a query parameter, and says what is allowed. "
        "The contract is strict: no text for a number, no unknown member, no member twice.",
    ),
    "too-many-requests": ProblemKind(
        429,
        marked("Too many requests"),
        "Of one caller, in a time or at once; the detail says which. Retry-After says in how many seconds the next one may "
        "come, RateLimit what is left where the rate is limited.",
    ),
    "no-upgrade": ProblemKind(
        426,
        marked("No other protocol is spoken"),
        "Send the request again without the header Upgrade; HTTP/1.1 is spoken here.",
    ),
    "internal-error": ProblemKind(
        500,
        marked("The service failed"),
        "The fault is ours and is in our log under the request id that `instance` names. "
        "Nothing is known to be wrong with the request.",
    ),
    "busy": ProblemKind(
        503,
        marked("Too much at once"),
        "The service answers as many requests as it can. Retry-After says when to try again.",
    ),
    "took-too-long": ProblemKind(
        503, marked("It took too long"), "The calculation or document was given up after the time that the detail says."
    ),
    "no-plan": ProblemKind(
        503,
        marked("No cutting plan was made"),
        "The solver's process ended before it had a plan: it was ended from outside, or had too little memory. Retry-After "
        "says when to try again; if it happens again, send less at a time.",
    ),
    "not-ready": ProblemKind(
        503,
        marked("The service is not ready"),
        "A known fitting did not come out as it must. Retry-After says when to ask again.",
    ),
}


FAULT_CODES = (
    "ambiguous_number",
    "choice",
    "coil_count",
    "coil_off_spiral",
    "coil_shrinks",
    "coil_slats",
    "coil_twice",
    "coils_scatter",
    "comma_in_number",
    "comma_missing",
    "comma_too_many",
    "contradiction",
    "cut_short",
    "does_not_fit",
    "empty_body",
    "empty_value",
    "growth_too_great",
    "growth_too_small",
    "longer_than_bars",
    "maximum",
    "minimum",
    "missing",
    "nested_too_deep",
    "no_stock",
    "not_in_catalogue",
    "not_json",
    "not_utf8",
    "number_form",
    "one_slat_count",
    "other",
    "pattern",
    "point_in_number",
    "quote_missing",
    "radius_of_one_slat",
    "single_quotes",
    "thousands_mark",
    "too_few",
    "too_long",
    "too_many",
    "too_short",
    "trailing_text",
    "twice",
    "type",
    "unit_after_number",
    "unknown_member",
    "unknown_parameter",
    "unknown_word",
    "whole_number",
)
"""What can be wrong with a member, a parameter, or the form of a body. Callers may rely on a code; texts may change."""


class Fault(msgspec.Struct, frozen=True, omit_defaults=True):
    """What is wrong with one member, one query parameter, or the form of the body."""

    code: Annotated[
        str, text("What kind of fault it is; the list is open.", extra_json_schema={"x-extensible-enum": [*FAULT_CODES]})
    ]
    detail: Annotated[str, text("What is wrong, and what is allowed, in the language of the problem.")]
    pointer: Annotated[str, text("JSON Pointer into the body; absent where it is not a member.")] | UnsetType = UNSET
    parameter: Annotated[str, text("The query parameter; absent where it is none.")] | UnsetType = UNSET
    limit: (
        Annotated[float, text("What a value or a count may be at least or at most; absent where that is not it.")]
        | UnsetType
    ) = UNSET
    actual: (
        Annotated[
            float | str,
            text(f"The value given; absent where it is none, a list, an object, or has over {ACTUAL_MAX} characters."),
        ]
        | UnsetType
    ) = UNSET


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


class Mistake(NamedTuple):
    """A fault before it is said in a language."""

    code: str
    words: str
    figures: tuple[tuple[str, Figure], ...] = ()
    pointer: str | UnsetType = UNSET
    parameter: str | UnsetType = UNSET
    limit: float | UnsetType = UNSET
    actual: float | str | UnsetType = UNSET

    @property
    def detail(self) -> str:
        """What is wrong, in English."""
        return said(self.words, dict(self.figures))

    def fault(self, language: str) -> Fault:
        """The fault as it is sent."""
        return Fault(
            self.code,
            said(self.words, dict(self.figures), language),
            pointer=self.pointer,
            parameter=self.parameter,
            limit=self.limit,
            actual=self.actual,
        )


def mistake(
    code: str,
    words: str,
    /,
    *,
    pointer: str | UnsetType = UNSET,
    parameter: str | UnsetType = UNSET,
    limit: float | UnsetType = UNSET,
    actual: object = UNSET,
    **figures: Figure,
) -> Mistake:
    """A mistake of a code, with its marked text and the figures in it; the limit is one of them."""
    if not isinstance(limit, UnsetType):
        limit = int(limit) if limit == int(limit) else limit
        figures["limit"] = limit
    return Mistake(code, words, tuple(figures.items()), pointer, parameter, limit, _told(actual))


def _told(given: object) -> float | str | UnsetType:
    """A given value as it is told: a number, a short text, or nothing."""
    if isinstance(given, bool) or given is None:
        return {True: "true", False: "false", None: "null"}[given]
    if isinstance(given, int | float):
        return given if -WHOLE_MAX <= given <= WHOLE_MAX else UNSET
    if isinstance(given, str) and len(given) <= ACTUAL_MAX:
        return given.encode(errors="replace").decode()  # half a surrogate pair could not be sent
    return UNSET


class Refusal(Exception):  # noqa: N818 - a refusal is an answer, not a fault of the program
    """A request that is answered with a problem of the table."""

    def __init__(
        self,
        kind: str,
        words: str,
        /,
        *,
        faults: Sequence[Mistake] = (),
        headers: tuple[tuple[bytes, bytes], ...] = (),
        **figures: Figure,
    ) -> None:
        """Refuse with a kind of the table, what happened, what is wrong, and headers that go with it.

        `words` is a marked text; `figures` are what it has places for.
        """
        super().__init__(said(words, figures))
        self.kind = kind
        self.words = words
        self.figures: dict[str, Any] = figures
        self.faults = list(faults)
        self.headers = headers

    @property
    def detail(self) -> str:
        """What happened, in English."""
        return said(self.words, self.figures)


def said(words: str, figures: dict[str, Figure], language: str = "en") -> str:
    """A marked text with its figures in a language; one without figures may be any text."""
    spoken = language_of(language)
    if not figures:
        return spoken.name(words)
    written = {name: one if isinstance(one, str) else spoken.numbers.given(one) for name, one in figures.items()}
    return spoken.say(words, **written)


def problem(refusal: Refusal, *, instance: str, language: str = "en") -> Problem:
    """The problem document of a refusal in a language.

    Raises:
        KeyError: the table has no such kind.
    """
    row = KINDS[refusal.kind]
    return Problem(
        type=f"/problems/{refusal.kind}",
        title=language_of(language).name(row.title),
        status=row.status,
        detail=said(refusal.words, refusal.figures, language),
        instance=instance,
        errors=[one.fault(language) for one in refusal.faults] or UNSET,
    )
