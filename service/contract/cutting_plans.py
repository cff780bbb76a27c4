"""Cutting plans on the wire: from a request to the solver's task, and from its answer to the contract's form."""

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Annotated, NamedTuple

from msgspec import UNSET, UnsetType

from service.audit.digest import sha256_hex
from service.audit.figures import figure
from service.calculation.fitting import VERSION
from service.calculation.parts import ARTICLE_OF, Part
from service.contract import answers as wire
from service.contract.canonical import canonical
from service.contract.decoding import FAULTS_MAX
from service.contract.fittings import calculate
from service.contract.problems import Mistake, Refusal, mistake
from service.contract.requests import FittingRequest, Reference, Sent
from service.contract.shelf import Shelf
from service.contract.units import Sha256, mm, said, text
from service.contract.version import CONTRACT_VERSION
from service.cutting.model import Answer, Bar, Order, Piece, Plan, Stock, Task
from service.words.languages import marked

UM_PER_MM = 1000
THOUSANDTHS = 1000
"""Parts of a price that are told apart."""
LENGTH_MIN_MM, LENGTH_MAX_MM = 1.0, 20_000.0
ROWS_MAX = 10_000
FITTINGS_MAX = 2000
STOCK_ROWS_MAX = 500
PIECES_MAX = 200_000
"""Pieces of one plan, all profiles together."""
LENGTHS_MAX = 2000
"""Different lengths of one profile."""
DRAWN_MAX = 300
"""Different bars that a picture shows."""
TIME_LIMIT_S = 2.0
SHARE_DECIMALS = 6

PROFILE = "Which bar it is cut from, by a name of the caller's own, the same in `pieces` and `stock`."


class PieceRow(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Pieces of one length."""

    profile: Annotated[str, text(PROFILE, min_length=1, max_length=60)]
    length_mm: Annotated[float, mm("Length to cut, to 0.001.", ge=LENGTH_MIN_MM, le=LENGTH_MAX_MM)]
    count: Annotated[float, said("pieces", "How many, a whole number.", ge=1, le=PIECES_MAX, multiple_of=1)]
    reference: Reference | UnsetType = UNSET


class StockRow(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Bars of one profile and one length. Several rows of a profile are several lengths, or offcuts on hand."""

    profile: Annotated[
        str,
        text(
            "Which profile the bar is: as `pieces` name it; with `fittings` the id that `GET /v1/catalogue` has for the "
            "slat, tube, mount (its track) or top seal, else the kind of article, such as `bottom_bar`, `bottom_seal`, "
            "`perimeter_seal`, `drip_rail`.",
            min_length=1,
            max_length=60,
        ),
    ]
    length_mm: Annotated[float, mm("Length of the bar, to 0.001.", ge=LENGTH_MIN_MM, le=LENGTH_MAX_MM)]
    count: (
        Annotated[
            float,
            said("bars", "How many there are, a whole number; absent: as many as it takes.", ge=0, le=1e6, multiple_of=1),
        ]
        | UnsetType
    ) = UNSET
    kerf_mm: Annotated[
        float,
        mm(
            "What a cut takes, to 0.001: lost between neighbours and before an offcut, not behind a piece that is flush "
            "with the end; where less than a kerf is left, the saw takes that.",
            ge=0,
            le=100,
        ),
    ] = 0.0
    trim_mm: Annotated[float, mm("What is lost at each end of the bar, to 0.001.", ge=0, le=1000)] = 0.0
    keep_mm: (
        Annotated[float, mm("Least offcut worth keeping, to 0.001; absent: none is kept.", ge=0, le=LENGTH_MAX_MM)]
        | UnsetType
    ) = UNSET
    price: (
        Annotated[
            float,
            said(
                "1",
                "What a bar costs, in any currency, to 0.001. All rows of a profile have one, or none has.",
                ge=0,
                le=1e6,
            ),
        ]
        | UnsetType
    ) = UNSET


class CuttingRequest(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is to be cut, and from what. Either pieces are given, or fittings."""

    pieces: (
        Annotated[list[PieceRow], text("The pieces; absent where there are fittings.", min_length=1, max_length=ROWS_MAX)]
        | UnsetType
    ) = UNSET
    fittings: (
        Annotated[
            list[FittingRequest],
            text(
                "Openings as in a batch, in place of pieces: they are calculated first, and the pieces are their parts with "
                "a `cut_length_mm`, of the profiles that `stock` names, without packers. All must fit.",
                min_length=1,
                max_length=FITTINGS_MAX,
            ),
        ]
        | UnsetType
    ) = UNSET
    stock: Annotated[list[StockRow], text("The bars there are.", min_length=1, max_length=STOCK_ROWS_MAX)]
    time_limit_s: Annotated[
        float,
        said(
            "s",
            "How long to look for better plans, all profiles together; the best ones found are answered.",
            ge=0.1,
            le=30,
        ),
    ] = TIME_LIMIT_S


class PlannedPiece(wire.Answered, frozen=True, kw_only=True):
    """One piece in its bar."""

    length_mm: Annotated[float, mm("Its length.")]
    at_mm: Annotated[float, mm("Where it begins, from the bar's end at which cutting begins.")]
    reference: (
        Annotated[str, text("The caller's own, of the piece or the fitting; absent where it has none.")] | UnsetType
    ) = UNSET


class PlannedBar(wire.Answered, frozen=True, kw_only=True):
    """Bars that are cut alike."""

    stock_index: Annotated[int, text("Which row of the request's `stock`, from 0.")]
    stock_length_mm: Annotated[float, mm("Length of the bar.")]
    count: Annotated[int, said("bars", "How many bars are cut so.")]
    pieces: Annotated[list[PlannedPiece], text("The pieces of one bar in the order of cutting.")]
    offcut_mm: Annotated[
        float, mm("What is left behind the last kerf, without the trimmed end; 0 where the saw takes what is left.")
    ]
    kept: Annotated[bool, text("Whether the offcut is worth keeping.")]


class MissingPieces(wire.Answered, frozen=True, kw_only=True):
    """Pieces for which there is not enough stock."""

    length_mm: Annotated[float, mm("Their length.")]
    count: Annotated[int, said("pieces", "How many.")]


class ProfilePlan(wire.Answered, frozen=True, kw_only=True):
    """The plan of one profile."""

    profile: Annotated[str, text("The profile.")]
    bar_count: Annotated[int, said("bars", "How many bars are cut.")]
    lower_bound: Annotated[
        int, said("bars", "It is proven that no plan that leaves the same pieces missing takes fewer bars.")
    ]
    cost: Annotated[
        float, said("1", "What is made as small as can be: the bars' prices, or without prices their length in mm.")
    ]
    cost_lower_bound: Annotated[
        float, said("1", "It is proven that no plan that leaves the same pieces missing costs less; in the unit of `cost`.")
    ]
    optimal: Annotated[bool, text("Whether it is proven that no plan is better.")]
    waste_share: Annotated[
        float,
        said("1", "Part of the bars' length that is neither piece nor kept offcut, to 0.000001; 0 where no bar is cut."),
    ]
    bars: Annotated[
        list[PlannedBar], text("The bars, equal ones once with their count, those with the longest pieces first.")
    ]
    missing: Annotated[list[MissingPieces], text("What there is not enough stock for; empty where all is cut.")]


class CuttingAudit(wire.Answered, frozen=True, kw_only=True):
    """What the plan rests on. A search that ends by time need not end alike twice, so the result has no digest."""

    calculation_version: Annotated[str, text("Version of the calculation.")]
    contract_version: Annotated[str, text("Version of this contract.")]
    solver: Annotated[str, text("The solver and its version.")]
    catalogue_sha256: Sha256
    request_sha256: Annotated[Sha256, text("SHA-256 of the RFC 8785 form of the request as understood, defaults filled in.")]


class CuttingPlan(wire.Answered, frozen=True, kw_only=True):
    """Which pieces come from which bar."""

    profiles: Annotated[list[ProfilePlan], text("One for each profile that is cut, in the order of the stock.")]
    without_stock: Annotated[
        list[str],
        text(
            "Profiles of the fittings' parts that `stock` does not name: nothing is planned for them. Empty with `pieces`."
        ),
    ]
    audit: CuttingAudit


class Prepared(NamedTuple):
    """A request that can be solved: the task, and of each of its orders which rows of the request's stock it has."""

    request: CuttingRequest
    task: Task
    rows: list[list[int]]
    without_stock: list[str]
    request_sha256: str
    catalogue_sha256: str


class Wanted(NamedTuple):
    """Pieces of one length that somebody asked for, and where: a JSON Pointer."""

    profile: str
    piece: Piece
    pointer: str


def prepare(request: CuttingRequest, shelf: Shelf) -> Prepared:
    """The task of a request; openings are calculated.

    Raises:
        Refusal: the request contradicts itself, the catalogue or the stock.
    """
    rows: dict[str, list[int]] = {}
    for index, row in enumerate(request.stock):
        rows.setdefault(row.profile, []).append(index)
    _refuse([*_faults_of_choice(request), *_faults_of_stock(request, rows)])
    wanted = list(_of_pieces(request) if request.fittings is UNSET else _of_fittings(request.fittings, shelf))
    without_stock: list[str] = []
    if request.fittings is not UNSET:
        without_stock = sorted({one.profile for one in wanted} - set(rows))
        wanted = [one for one in wanted if one.profile in rows]
    longest = {
        profile: max(_um(request.stock[index].length_mm) - 2 * _um(request.stock[index].trim_mm) for index in indices)
        for profile, indices in rows.items()
    }
    _refuse(_faults_of_pieces(request, wanted, longest))
    pieces: dict[str, list[Piece]] = {}
    for one in wanted:
        pieces.setdefault(one.profile, []).append(one.piece)
    profiles = [profile for profile in rows if profile in pieces]
    orders = [Order(one, pieces[one], [_stock(request.stock[index]) for index in rows[one]]) for one in profiles]
    return Prepared(
        request=request,
        task=Task(orders, request.time_limit_s),
        rows=[rows[profile] for profile in profiles],
        without_stock=without_stock,
        request_sha256=sha256_hex(canonical(request)),
        catalogue_sha256=shelf.catalogue_sha256,
    )


def _refuse(faults: Iterable[Mistake]) -> None:
    """Refuse a request that has faults.

    Raises:
        Refusal: it has.
    """
    told = list(islice(faults, FAULTS_MAX))
    if told:
        raise Refusal("invalid-request", marked("Nothing can be planned from this request."), faults=told)


def _faults_of_choice(request: CuttingRequest) -> Iterator[Mistake]:
    """Pieces or fittings, exactly one of them."""
    if request.pieces is not UNSET and request.fittings is not UNSET:
        yield mistake("contradiction", marked("give pieces, or fittings, not both"), pointer="")
    elif request.pieces is UNSET and request.fittings is UNSET:
        told = marked("the member is missing, and there are no fittings")
        yield mistake("missing", told, pointer="/pieces")


def _faults_of_stock(request: CuttingRequest, rows: dict[str, list[int]]) -> Iterator[Mistake]:
    """Bars of which nothing is left between their ends; prices of some rows of a profile only."""
    for index, row in enumerate(request.stock):
        if _um(row.length_mm) <= 2 * _um(row.trim_mm):
            told = marked("nothing is left of a bar of {length} mm; must be less than {limit}")
            pointer = f"/stock/{index}/trim_mm"
            yield mistake(
                "maximum", told, pointer=pointer, limit=row.length_mm / 2, actual=row.trim_mm, length=row.length_mm
            )
    for indices in rows.values():
        priced = [index for index in indices if request.stock[index].price is not UNSET]
        if priced and len(priced) < len(indices):
            for index in indices:
                if index not in priced:
                    told = marked("the member is missing, and another row of the profile has a price")
                    yield mistake("missing", told, pointer=f"/stock/{index}/price")


def _of_pieces(request: CuttingRequest) -> Iterator[Wanted]:
    for index, row in enumerate([] if request.pieces is UNSET else request.pieces):
        reference = "" if row.reference is UNSET else row.reference
        yield Wanted(row.profile, Piece(_um(row.length_mm), int(row.count), reference), f"/pieces/{index}")


def _of_fittings(fittings: list[FittingRequest], shelf: Shelf) -> Iterator[Wanted]:
    """The parts to cut of every opening.

    Raises:
        Refusal: an opening is refused, or its shutter does not fit; all such are named.
    """
    faults: list[Mistake] = []
    for index, opening in enumerate(fittings):
        pointer = f"/fittings/{index}"
        try:
            answer = calculate(opening, shelf).calculated.answer
        except Refusal as refused:
            faults += (one._replace(pointer=pointer + (one.pointer or "")) for one in refused.faults)
            continue
        if answer.verdict == "does_not_fit":
            faults.append(
                mistake("does_not_fit", marked("the shutter does not fit: nothing of it may be cut"), pointer=pointer)
            )
        reference = "" if opening.reference is UNSET else opening.reference
        for part in answer.parts:
            if part.cut_length_mm is not None and part.thickness_mm is None:
                yield Wanted(profile_of(part), Piece(_um(figure(part.cut_length_mm)), part.quantity, reference), pointer)
    _refuse(faults)


def profile_of(part: Part) -> str:
    """What a part is cut from: the catalogue's id where it has one, else the kind of article by which it is ordered."""
    return ARTICLE_OF.get(part.key, part.key) if part.catalogue_id is None else part.catalogue_id


def _faults_of_pieces(request: CuttingRequest, wanted: list[Wanted], longest: dict[str, int]) -> Iterator[Mistake]:
    """Pieces without stock, pieces longer than every bar, and more than one plan may hold."""
    top = "/pieces" if request.fittings is UNSET else "/fittings"
    for profile, piece, pointer in wanted:
        if profile not in longest:
            told = marked("there is no stock of this profile")
            yield mistake("no_stock", told, pointer=f"{pointer}/profile", actual=profile)
        elif piece.length_um > longest[profile]:
            told = marked("{profile}: {length} mm is longer than every bar, of which {limit} mm can be used at most")
            yield mistake(
                "longer_than_bars",
                told,
                pointer=pointer if request.pieces is UNSET else f"{pointer}/length_mm",
                limit=longest[profile] / UM_PER_MM,
                actual=piece.length_um / UM_PER_MM,
                length=piece.length_um / UM_PER_MM,
                profile=profile,
            )
    together = sum(one.piece.count for one in wanted)
    if together > PIECES_MAX:
        told = marked("are {pieces} pieces together, must be at most {limit}")
        yield mistake("maximum", told, pointer=top, limit=PIECES_MAX, actual=together, pieces=together)
    lengths = Counter(profile for profile, _ in {(one.profile, one.piece.length_um) for one in wanted})
    for profile, many in sorted(lengths.items()):
        if many > LENGTHS_MAX:
            told = marked("{profile} has {lengths} different lengths, must have at most {limit}")
            yield mistake("maximum", told, pointer=top, limit=LENGTHS_MAX, actual=many, profile=profile, lengths=many)


def _um(length_mm: float) -> int:
    return round(length_mm * UM_PER_MM)


def _stock(row: StockRow) -> Stock:
    length_um = _um(row.length_mm)
    return Stock(
        length_um=length_um,
        cost=length_um if row.price is UNSET else round(row.price * THOUSANDTHS),
        count=None if row.count is UNSET else int(row.count),
        kerf_um=_um(row.kerf_mm),
        trim_um=_um(row.trim_mm),
        keep_um=None if row.keep_mm is UNSET else _um(row.keep_mm),
    )


def plan_of(prepared: Prepared, solved: Answer) -> CuttingPlan:
    """The solver's answer in the contract's form."""
    return CuttingPlan(
        profiles=[
            _profile(plan, order, rows)
            for plan, order, rows in zip(solved.plans, prepared.task.orders, prepared.rows, strict=True)
        ],
        without_stock=prepared.without_stock,
        audit=CuttingAudit(
            calculation_version=VERSION,
            contract_version=CONTRACT_VERSION,
            solver=solved.solver,
            catalogue_sha256=prepared.catalogue_sha256,
            request_sha256=prepared.request_sha256,
        ),
    )


def _mm(length_um: int) -> float:
    return figure(length_um / UM_PER_MM)


def _profile(plan: Plan, order: Order, rows: list[int]) -> ProfilePlan:
    return ProfilePlan(
        profile=plan.profile,
        bar_count=sum(bar.count for bar in plan.bars),
        lower_bound=plan.bar_bound,
        cost=figure(plan.cost / THOUSANDTHS),
        cost_lower_bound=figure(plan.cost_bound / THOUSANDTHS),
        optimal=plan.optimal,
        waste_share=waste_share(plan, order),
        bars=[_bar(bar, order.stock[bar.stock], rows[bar.stock]) for bar in plan.bars],
        missing=[MissingPieces(length_mm=_mm(one.length_um), count=one.count) for one in plan.missing],
    )


def waste_share(plan: Plan, order: Order) -> float:
    """Part of the bars' length that is neither piece nor kept offcut."""
    used = sum(bar.count * order.stock[bar.stock].length_um for bar in plan.bars)
    good = sum(bar.count * (sum(cut.length_um for cut in bar.cuts) + bar.kept * bar.offcut_um) for bar in plan.bars)
    share = round((used - good) / used, SHARE_DECIMALS) if used else 0.0
    return share or 0


def _bar(bar: Bar, stock: Stock, row: int) -> PlannedBar:
    return PlannedBar(
        stock_index=row,
        stock_length_mm=_mm(stock.length_um),
        count=bar.count,
        pieces=[
            PlannedPiece(length_mm=_mm(cut.length_um), at_mm=_mm(cut.at_um), reference=cut.reference or UNSET)
            for cut in bar.cuts
        ],
        offcut_mm=_mm(bar.offcut_um),
        kept=bar.kept,
    )
