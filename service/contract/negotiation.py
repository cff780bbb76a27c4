"""What a caller accepts and sends: media types and query parameters."""

import re
from urllib.parse import parse_qsl

from service.contract.operations import CSV, Query
from service.contract.problems import AT_LEAST, AT_MOST, ONE_OF, WHOLE_NUMBER, Mistake, Refusal, mistake
from service.words.languages import marked

QUERY_PARAMETERS_MAX = 50
WHOLE = re.compile("0|-?[1-9][0-9]{0,11}")
"""How a whole number is written; none of ours has more digits."""


def accepts(accept: str, wanted: str) -> bool:
    """Whether Accept or Accept-Encoding (RFC 9110, 12.5) lets a media type or a coding through; an empty one does."""
    if accept in {"*/*", wanted} or not accept.strip():
        return True
    family = wanted.partition("/")[0]
    best: tuple[int, float] = (-1, 0.0)
    for entry in accept.split(","):
        accepted, *parameters = (part.strip().lower() for part in entry.split(";"))
        rank = {wanted: 2, f"{family}/*": 1, "*/*": 0, "*": 0}.get(accepted, -1)
        if rank > best[0]:
            best = (rank, _quality(parameters))
    return best[0] >= 0 and best[1] > 0


def matches(if_none_match: str, etag: str) -> bool:
    """Whether If-None-Match names an entity tag (RFC 9110, 13.1.2: compared weakly), or any."""
    tags = [tag.strip().removeprefix("W/") for tag in if_none_match.split(",")]
    return tags == ["*"] or etag in tags


def _quality(parameters: list[str]) -> float:
    for parameter in parameters:
        name, _, value = parameter.partition("=")
        if name.strip() == "q":
            try:
                return float(value)
            except ValueError:
                return 0.0
    return 1.0


def check_content_type(content_type: str, allowed: str) -> None:
    """Let the one media type of a body through.

    Raises:
        Refusal: another media type, or another charset than UTF-8 (of CSV also UTF-16, which has a byte order mark then).
    """
    if content_type == allowed:
        return
    media_type, *parameters = (part.strip().lower() for part in content_type.split(";"))
    if media_type != allowed:
        other = marked("The body must be {allowed}, not {given}.")
        none = marked("The body must be {allowed}, and the header Content-Type is missing.")
        raise Refusal("unsupported-media-type", other if media_type else none, allowed=allowed, given=repr(media_type))
    for parameter in parameters:
        name, _, value = parameter.partition("=")
        charsets = {"utf-8", "utf8", "utf-16"} if media_type == CSV else {"utf-8", "utf8"}
        if name == "charset" and value.strip('"') not in charsets:
            either, one = (
                marked("The body must be UTF-8 or UTF-16, not {charset}."),
                marked("The body must be UTF-8, not {charset}."),
            )
            raise Refusal("unsupported-media-type", either if media_type == CSV else one, charset=value)


def check_content_encoding(content_encoding: str, *, gzip: bool) -> bool:
    """Whether the body is gzip, where that is allowed.

    Raises:
        Refusal: another content encoding, or gzip where it is not allowed.
    """
    encoding = content_encoding.strip().lower()
    if encoding in {"gzip", "x-gzip"} and gzip:
        return True
    if encoding in {"", "identity"}:
        return False
    with_gzip = marked("The content encoding {encoding} is not supported here; send gzip or none.")
    without = marked("The content encoding {encoding} is not supported here; send none.")
    raise Refusal("unsupported-media-type", with_gzip if gzip else without, encoding=repr(encoding))


def read_query(query_string: str, allowed: tuple[Query, ...]) -> dict[str, tuple[str, ...]]:
    """The query parameters by name.

    Raises:
        Refusal: an unknown parameter, one given more often than it may be, or a value that is not among its choices.
    """
    if not query_string:
        return {}
    given: dict[str, list[str]] = {}
    faults: list[Mistake] = []
    try:
        pairs = parse_qsl(query_string, keep_blank_values=True, max_num_fields=QUERY_PARAMETERS_MAX, errors="strict")
    except ValueError as error:
        told = marked("The query string cannot be read, or has more than {most} parameters.")
        raise Refusal("invalid-request", told, most=QUERY_PARAMETERS_MAX) from error
    known = {query.name: query for query in allowed}
    for name, value in pairs:
        if name not in known:
            some, none = marked("there is no such parameter; known are {known}"), marked("this operation takes none")
            faults.append(mistake("unknown_parameter", some if known else none, parameter=name, known=", ".join(known)))
            continue
        if value not in known[name].choices:
            faults.append(_none_of(known[name], value))
        if name in given and (value in given[name] or not known[name].repeatable):
            faults.append(mistake("twice", marked("is given twice"), parameter=name, actual=value))
        given.setdefault(name, []).append(value)
    if faults:
        told = marked("The query does not match the contract.")
        raise Refusal("invalid-request", told, faults=list(dict.fromkeys(faults)))
    return {name: tuple(values) for name, values in given.items()}


def _none_of(query: Query, value: str) -> Mistake:
    """What is wrong with a value that is none of a parameter's choices."""
    if not query.whole:
        return mistake("choice", ONE_OF, parameter=query.name, actual=value, choices=", ".join(query.choices))
    if not WHOLE.fullmatch(value):
        return mistake("whole_number", WHOLE_NUMBER, parameter=query.name, actual=value)
    least, most = int(query.choices[0]), int(query.choices[-1])
    code, told, limit = ("minimum", AT_LEAST, least) if int(value) < least else ("maximum", AT_MOST, most)
    return mistake(code, told, parameter=query.name, actual=int(value), limit=limit)
