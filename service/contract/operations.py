"""The table of operations: the generator of the contract and the web routes both read it."""

import sys
from typing import Any, Literal, NamedTuple

from service.contract import answers, batch, cutting_plans, explore, verification
from service.contract.problems import ProblemPage
from service.contract.requests import FittingRequest
from service.contract.saw_list import COLUMNS as SAW_LIST_COLUMNS

JSON = "application/json"
NDJSON = "application/x-ndjson"
CSV = "text/csv"
SVG = "image/svg+xml"
DXF = "image/vnd.dxf"
PDF = "application/pdf"
HTML = "text/html"
TEXT = "text/plain"
Method = Literal["GET", "POST"]
Access = Literal["calculate", "batch", "documents", "metrics", ""]
"""The scope that a key must have for an operation; empty where none is needed."""

BODY_PROBLEMS = ("malformed-body", "too-slow", "body-too-large", "unsupported-media-type", "invalid-request")


class Query(NamedTuple):
    """A query parameter with a fixed set of values; where they are `whole` numbers, all between the first and the last."""

    name: str
    choices: tuple[str, ...]
    repeatable: bool
    description: str
    whole: bool = False


class Operation(NamedTuple):
    """One operation of the contract.

    `takes` is the one media type of its body, `media_type` that of its answer. `body_size` says which of the settings
    limits its body (a stream's none: it is limited line by line), `body_bytes_max` what makes sense whatever they allow.
    One that `streams` reads its body itself, and counts as a batch. A `heavy` one works beside the event loop, so
    that small ones need not wait; one that is `heavy_with` values of its queries does where they are asked for. `etag` is
    whether its answer has an entity tag, `spoken` whether it is in words, in the language of the caller.
    """

    id: str
    method: Method
    path: str
    tag: str
    summary: str
    description: str
    answer: Any
    body: Any = None
    takes: str = JSON
    media_type: str = JSON
    body_size: Literal["small", "large", "stream"] = "small"
    body_bytes_max: int = sys.maxsize
    streams: bool = False
    heavy: bool = False
    heavy_with: frozenset[str] = frozenset()
    spoken: bool = False
    etag: bool = False
    access: Access = "calculate"
    queries: tuple[Query, ...] = ()
    problems: tuple[str, ...] = ()

    def works_beside(self, query: dict[str, tuple[str, ...]]) -> bool:
        """Whether it works beside the event loop with the values of a query."""
        return self.heavy or any(not self.heavy_with.isdisjoint(values) for values in query.values())

    @property
    def counted(self) -> bool:
        """Whether it takes a place and counts for the rate: not what tells how full the service is."""
        return self.access not in {"", "metrics"}


INCLUDE = Query(
    "include",
    ("trace", "geometry", "balance_curve", "candidates", "cures"),
    repeatable=True,
    description="What else to answer: `trace`, every applied rule in order; `geometry`, the side section as points; "
    "`balance_curve`, forces and torques over the lift; "
    "`candidates`, every place that was tried with the check that speaks most against it; `cures`, what would make the "
    "shutter fit where it does not.",
)

FIGURES = Query(
    "fields",
    ("full", "figures"),
    repeatable=False,
    description="`full` (the default) answers with figures and words, `figures` without the words.",
)

FIELDS = Query(
    "fields",
    ("full", "figures", "short"),
    repeatable=False,
    description="`full` (the default) answers with whole fittings, `figures` without their words, `short` with the main "
    "figures and warning codes.",
)

TABLE_FIELDS = Query(
    "fields",
    ("short", "full", "parts"),
    repeatable=False,
    description="`short` (the default) answers the main figures, a row an opening; `full` every figure, a row an opening; "
    "`parts` the parcels, a row a part, with its label in the language of the answer.",
)

DECIMAL = Query(
    "decimal",
    ("point", "comma"),
    repeatable=False,
    description="How numbers are written, in the body and in the answer: with a decimal point or a decimal comma. Without "
    "it the body tells: see there.",
)

TITLE = Query(
    "title",
    ("block", "none"),
    repeatable=False,
    description="`block` (the default) has a title block, `none` is the picture alone.",
)

PAPER = Query(
    "paper",
    ("a4", "a3"),
    repeatable=False,
    description="The sheets' size, `a4` (the default) or `a3`: fewer sheets for a large plate.",
)

LIMIT = Query(
    "limit",
    tuple(map(str, range(1, explore.ALTERNATIVES_MAX + 1))),
    repeatable=False,
    description=f"How many to answer at most; {explore.ALTERNATIVES} where it is not given.",
    whole=True,
)

CUTTING_CAUTION = (
    "Measure the first of equal bars before cutting the rest; clamp the bar, guard eyes and ears, and keep hands away until "
    "the saw stands still."
)
PLANNED = f"""\
For a whole order: which pieces come from which bar, at which place, what is left, and how far the plan can be from the \
best. The body has either `pieces` or `fittings`, which are calculated first. For each profile what the bars cost is made \
as small as can be: their prices, or where there are none their length; with one length and no price that is the number of \
bars. Kept offcuts are not credited. Where the stock does not suffice, the best that was found is answered with what is \
missing: a missing piece counts, by its length, for more than any bar. At most {cutting_plans.PIECES_MAX} pieces in all, \
and {cutting_plans.LENGTHS_MAX} different lengths of one profile. {CUTTING_CAUTION} The body may be gzip."""
LISTED = f"""\
The same plan as CSV, UTF-8 with a byte order mark: a row for each piece and offcut, in the order of cutting; the columns \
{", ".join(SAW_LIST_COLUMNS)}. `bar` is the number of the first of `bar_count` equal bars, `what` is `piece`, `offcut` \
(kept), `waste` or `missing`. A text that a spreadsheet could take for a formula gets an apostrophe. {CUTTING_CAUTION}"""
DRAWN = f"""\
The same plan as a picture: every bar to scale with its pieces, their lengths and references, and what is left. At most \
{cutting_plans.DRAWN_MAX} different bars are drawn; the table has them all."""

TABLE = str
"""The body of a table: text of the form that the contract describes."""

OPERATIONS = (
    Operation(
        "calculateFitting",
        "POST",
        "/v1/fittings",
        "Fittings",
        "Calculate one fitting",
        "From the opening alone: whether the shutter fits, the coil, the bracket and wheel holes, every length to cut, "
        "every check with its margin, and what to be careful about. The same request, version and catalogue always give "
        "the same answer; nothing is stored.",
        answers.Fitting,
        body=FittingRequest,
        queries=(INCLUDE, FIGURES),
        heavy_with=frozenset({"candidates", "cures"}),
        spoken=True,
        problems=BODY_PROBLEMS,
    ),
    Operation(
        "calculateShort",
        "POST",
        "/v1/fittings/short",
        "Fittings",
        "Calculate one fitting, in short",
        "The same calculation; verdict, main figures and warning codes only, with a digest of their own.",
        batch.ShortFitting,
        body=FittingRequest,
        problems=BODY_PROBLEMS,
    ),
    Operation(
        "calculateBatch",
        "POST",
        "/v1/fittings/batch",
        "Fittings",
        "Calculate many fittings",
        "Each item is answered on its own, in order, with a fitting or a problem: a bad one harms no other. The body is "
        "limited in size; for more, see `/v1/fittings/stream`. It may be gzip.",
        batch.BatchAnswer,
        body=batch.BatchRequest,
        access="batch",
        streams=True,
        spoken=True,
        body_size="large",
        queries=(FIELDS,),
        problems=BODY_PROBLEMS,
    ),
    Operation(
        "calculateStream",
        "POST",
        "/v1/fittings/stream",
        "Fittings",
        "Calculate fittings as they arrive",
        "NDJSON: one request a line in, one StreamLine a line out, answered while the body arrives, however long it is. The "
        "last line has a summary. Where the rest of the body cannot be read, or has too many items, the last line has a "
        "problem and no index, and there is no summary; without either the answer was cut. Read while you write. The body "
        "may be gzip.",
        batch.StreamLine,
        body=FittingRequest,
        access="batch",
        takes=NDJSON,
        media_type=NDJSON,
        streams=True,
        spoken=True,
        body_size="stream",
        queries=(FIELDS,),
        problems=BODY_PROBLEMS,
    ),
    Operation(
        "calculateTable",
        "POST",
        "/v1/fittings/table",
        "Fittings",
        "Calculate the rows of a table",
        "CSV: a header and one row an opening in, one row an opening out (with `fields=parts` one a part), each answered on "
        "its own: a bad one harms no other, and its `problem` names row, column and limit. Spreadsheets of several "
        "countries are understood: comma, semicolon or tab; decimal point or comma; UTF-8, or UTF-16 with a byte order "
        "mark. The answer is UTF-8 with a byte order mark, in the delimiter and with the decimal mark of the body. Columns "
        "whose names begin with `x_` are carried along. References come back without blanks around them; a text that a "
        "spreadsheet could take for a formula gets an apostrophe in front, a number never. The body may be gzip.",
        None,
        body=TABLE,
        access="batch",
        takes=CSV,
        media_type=CSV,
        streams=True,
        spoken=True,
        body_size="large",
        queries=(TABLE_FIELDS, DECIMAL),
        problems=BODY_PROBLEMS,
    ),
    Operation(
        "rankAlternatives",
        "POST",
        "/v1/fittings/alternatives",
        "Fittings",
        "Rank everything that would fit",
        "Every slat, tube, side plate and mount of the catalogue in this opening, and why those that do not fit do not. The "
        "best of each slat and mount come first, then the others, both ranked by verdict, then by the worst margin, then by "
        "mass. The request's own shutter is only one of them; counted slats and a measured radius do not count.",
        explore.AlternativesAnswer,
        body=FittingRequest,
        heavy=True,
        queries=(LIMIT,),
        spoken=True,
        problems=BODY_PROBLEMS,
    ),
    Operation(
        "findLimits",
        "POST",
        "/v1/fittings/limits",
        "Fittings",
        "Find how far an opening may go",
        "For every slat and mount: greatest height and width, least headroom and depth, each with everything else as "
        "given, save what belongs to the request's own slat alone: for other slats counted slats and a measured radius are "
        "left out, and so is the tube where they cannot be wound on it. For a configurator's sliders.",
        explore.LimitsAnswer,
        body=FittingRequest,
        heavy=True,
        spoken=True,
        problems=BODY_PROBLEMS,
    ),
    *(
        Operation(
            id,
            "POST",
            path,
            "Drawings and sheets",
            summary,
            description,
            None,
            body=FittingRequest,
            media_type=media_type,
            heavy=True,
            spoken=True,
            access="documents",
            queries=queries,
            problems=BODY_PROBLEMS,
        )
        for id, path, media_type, queries, summary, description in (
            (
                "drawSection",
                "/v1/drawings/section.svg",
                SVG,
                (TITLE,),
                "Draw the side section",
                "To scale, closed and open, every slat in its place, clearances with their limits, failing checks marked.",
            ),
            (
                "drawPlan",
                "/v1/drawings/plan.svg",
                SVG,
                (TITLE,),
                "Draw the plan cut",
                "Through jamb, track, slat, side plate, bracket and tube, to scale.",
            ),
            (
                "drawFront",
                "/v1/drawings/front.svg",
                SVG,
                (TITLE,),
                "Draw the front view",
                "Opening, daylight, tracks, strikers and rail, to scale, as seen from outside.",
            ),
            (
                "drawPlate",
                "/v1/drawings/plate.svg",
                SVG,
                (TITLE,),
                "Draw the drilling picture",
                "Both side plates with all their holes, the chosen ones marked and dimensioned.",
            ),
            (
                "exportPlate",
                "/v1/drawings/plate.dxf",
                DXF,
                (),
                "Export the side plates",
                "Both side plates in mm on the layers OUTLINE, HOLES, CHOSEN and TEXT.",
            ),
            (
                "printPlate",
                "/v1/drawings/plate.pdf",
                PDF,
                (PAPER,),
                "Print a 1:1 template",
                "For drilling: measure the check bars after printing. Larger plates come in pages with register marks.",
            ),
            (
                "printSheet",
                "/v1/sheets/fitting.pdf",
                PDF,
                (),
                "Print the fitter's sheet",
                "Figures to set and cut, drawings, parcel check list, order of work, cautions, the digest as QR code.",
            ),
        )
    ),
    *(
        Operation(
            id,
            "POST",
            f"/v1/cutting-plans{path}",
            "Cutting plans",
            summary,
            description,
            answer,
            body=cutting_plans.CuttingRequest,
            media_type=media_type,
            access="batch",
            streams=True,
            spoken=spoken,
            body_size="large",
            problems=(*BODY_PROBLEMS, "took-too-long", "no-plan"),
        )
        for id, path, media_type, spoken, answer, summary, description in (
            ("planCutting", "", JSON, False, cutting_plans.CuttingPlan, "Plan what is cut from which bar", PLANNED),
            ("listCutting", "/table", CSV, False, None, "Print the saw list", LISTED),
            ("drawCutting", "/picture.svg", SVG, True, None, "Draw the bars", DRAWN),
        )
    ),
    Operation(
        "calibrateSlat",
        "POST",
        "/v1/calibrations",
        "Calibration",
        "Find a slat's nesting factor from measured coils",
        "Three to fifty rolled-up shutters of one slat on one tube, slats counted and radius measured. Coils that "
        "contradict a spiral are refused, each with its reason.",
        explore.Calibration,
        body=explore.CalibrationRequest,
        heavy=True,
        problems=(*BODY_PROBLEMS, "contradictory-measurements"),
    ),
    Operation(
        "verifyResult",
        "POST",
        "/v1/audits/verification",
        "Audit",
        "Verify a stored result",
        "Send back an answer of `POST /v1/fittings` as it was stored, whole. It is calculated again from its own request "
        "and compared, member by member; where version or catalogue are others, the outcome is `other_version`. A member "
        "that is null counts as missing, and so does an empty list or object that may be absent; words, and members that "
        "this contract does not know, are not compared.",
        verification.Verification,
        body=answers.Fitting,
        body_size="large",
        body_bytes_max=verification.STORED_BYTES_MAX,
        heavy=True,
        problems=BODY_PROBLEMS,
    ),
    Operation(
        "getCatalogue",
        "GET",
        "/v1/catalogue",
        "Reference data",
        "The catalogue in use",
        "Slats, tubes, side plates, mounts and hardware that fittings are calculated with.",
        answers.CatalogueAnswer,
        etag=True,
    ),
    Operation(
        "getRules",
        "GET",
        "/v1/rules",
        "Reference data",
        "The rules of the calculation",
        "Every formula with its unit, what kind of authority it rests on, and its source.",
        answers.RulesAnswer,
        etag=True,
    ),
    Operation(
        "getWarnings",
        "GET",
        "/v1/warnings",
        "Reference data",
        "The warning codes",
        "Every code with its meaning, its severities and what helps.",
        answers.WarningsAnswer,
        etag=True,
    ),
    Operation(
        "getProblem",
        "GET",
        "/problems/{kind}",
        "Reference data",
        "What a problem type means",
        "The `type` of every problem document is a path that leads here.",
        ProblemPage,
        problems=("not-found",),
        access="",
        etag=True,
    ),
    Operation(
        "getLiveness",
        "GET",
        "/health/live",
        "Health",
        "Whether the process answers",
        "Restart it when this fails.",
        answers.Health,
        access="",
    ),
    Operation(
        "getReadiness",
        "GET",
        "/health/ready",
        "Health",
        "Whether the service calculates",
        "Calculates a known fitting and compares its figures. Send no work while this fails.",
        answers.Health,
        problems=("not-ready",),
        access="",
    ),
    Operation(
        "getMetrics",
        "GET",
        "/metrics",
        "Health",
        "What is counted and timed",
        "Prometheus text: requests, latencies, engine time, verdicts, warnings by code, batch items, rejections.",
        None,
        media_type=TEXT,
        access="metrics",
    ),
    Operation(
        "getContract",
        "GET",
        "/openapi.json",
        "Contract",
        "This contract",
        "OpenAPI 3.1, generated from the types that decode and encode.",
        dict[str, Any],
        access="",
        etag=True,
    ),
)
"""Every operation."""
