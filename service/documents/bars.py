"""The bars of a cutting plan to scale: every piece with its length and its reference, and what is left."""

from collections.abc import Iterator, Sequence

from service.cutting.model import Bar, Order, Plan, Stock
from service.documents import svg
from service.documents.svg import Box
from service.documents.wording import clean, lines_at_most
from service.words.languages import Language, language_of, marked

WIDTH = 277.0
MARGIN = 4.0
LABELS = 34.0
"""Paper left of the bars, for how many there are and of which length [mm]."""
ROW, BAR = 11.0, 5.0
HEADING, FOOT = 11.0, 12.0
UM_PER_MM = 1000
ROOM_FOR_TEXT = 5.0
"""Width of paper below which a piece has no text [mm]."""

PIECE, KEPT, WASTE, TRIM = "#dde3e6", "#d9ead3", "#f6dfc8", "#6b6b6b"
"""What pieces, kept offcuts, waste and trimmed ends are filled with."""

TITLE = marked("Cutting plan")
ONE_BAR, BARS = marked("{profile}: 1 bar, {waste} % waste"), marked("{profile}: {bars} bars, {waste} % waste")
PROVEN = marked("proven: no plan is better")
AT_LEAST = marked("proven: at least {bars} bars")
MISSING = marked("Not enough stock: {count} × {length} mm missing")
MORE = marked("{bars} more bars are not drawn: see the table.")
LEGEND = marked(
    "Lengths in mm. Grey: pieces, cut from the left; green: offcuts to keep; brown: waste; dark: kerfs and trimmed ends."
)
CAUTION = marked(
    "Measure the first of equal bars before cutting the rest. Clamp the bar, guard eyes and ears, keep hands away until the "
    "saw stands still."
)


def bars_svg(orders: Sequence[Order], plans: Sequence[Plan], *, language: str, drawn_max: int) -> str:
    """The picture of the plans of some orders, each to its own scale; of all together at most so many bars are drawn."""
    spoken = language_of(language)
    drawn: list[str] = []
    top, left = MARGIN, drawn_max
    for order, plan in zip(orders, plans, strict=True):
        drawn.append(_heading(order, plan, top, spoken))
        top += HEADING
        scale = (WIDTH - LABELS - 2 * MARGIN) / max(row.length_um for row in order.stock)
        for bar in plan.bars[:left]:
            drawn.append(_bar(order.stock[bar.stock], bar, Box(MARGIN, top, WIDTH - 2 * MARGIN, ROW), scale, spoken))
            top += ROW
        notes = [*_missing(plan, spoken), *_more(plan.bars[left:], spoken)]
        for note in notes:
            drawn.append(svg.text((MARGIN + LABELS, top + svg.TEXT), note, bold=True))
            top += 1.8 * svg.TEXT
        left = max(0, left - len(plan.bars))
    for line in (LEGEND, CAUTION):
        drawn.append(svg.text((MARGIN, top + 2 * svg.TEXT), spoken.name(line), size=svg.SMALL, most=WIDTH - 2 * MARGIN))
        top += 1.6 * svg.TEXT
    described = " ".join(_summary(order, plan, spoken) + "." for order, plan in zip(orders, plans, strict=True))
    return svg.document(
        *drawn,
        width=WIDTH,
        height=top + FOOT - 2 * svg.TEXT,
        title=spoken.name(TITLE),
        description=f"{described} {spoken.name(LEGEND)}",
        name="bars",
    )


def _mm(length_um: int, spoken: Language) -> str:
    return spoken.numbers.tenths(length_um / UM_PER_MM)


def _summary(order: Order, plan: Plan, spoken: Language) -> str:
    used = sum(bar.count * order.stock[bar.stock].length_um for bar in plan.bars)
    good = sum(bar.count * (sum(cut.length_um for cut in bar.cuts) + bar.kept * bar.offcut_um) for bar in plan.bars)
    waste = spoken.numbers.tenths(100 * (used - good) / used) if used else "0"
    bars = sum(bar.count for bar in plan.bars)
    return spoken.say(ONE_BAR if bars == 1 else BARS, profile=clean(plan.profile), bars=str(bars), waste=waste)


def _heading(order: Order, plan: Plan, top: float, spoken: Language) -> str:
    proof = spoken.name(PROVEN) if plan.optimal else spoken.say(AT_LEAST, bars=str(plan.bar_bound))
    return svg.group(
        svg.text((MARGIN, top + 5), _summary(order, plan, spoken), size=svg.HEADING, bold=True, most=0.68 * WIDTH),
        svg.text((WIDTH - MARGIN, top + 5), proof, size=svg.SMALL, anchor="end", fill=svg.GREY),
        svg.line((MARGIN, top + 7), (WIDTH - MARGIN, top + 7), stroke_width=svg.THIN),
        data_part="profile",
    )


def _missing(plan: Plan, spoken: Language) -> Iterator[str]:
    return (spoken.say(MISSING, count=str(one.count), length=_mm(one.length_um, spoken)) for one in plan.missing)


def _more(bars: Sequence[Bar], spoken: Language) -> Iterator[str]:
    if bars:
        yield spoken.say(MORE, bars=str(sum(bar.count for bar in bars)))


def _bar(stock: Stock, bar: Bar, box: Box, scale: float, spoken: Language) -> str:
    """One bar: a dark ground, of which pieces and rest leave kerfs and trimmed ends to be seen."""
    start, base = box.left + LABELS, box.top + BAR
    label = f"{bar.count} × {_mm(stock.length_um, spoken)}"
    parts = [
        svg.text((start - 2, base - 1.2), label, anchor="end", bold=True, most=LABELS - 3),
        svg.rectangle((start, box.top), stock.length_um * scale, BAR, fill=TRIM, stroke="none"),
    ]
    for cut in bar.cuts:
        piece = Box(start + cut.at_um * scale, box.top, cut.length_um * scale, BAR)
        parts.append(_part(piece, _mm(cut.length_um, spoken), clean(cut.reference), fill=PIECE, name="piece"))
    if bar.offcut_um:
        end = stock.length_um - stock.trim_um
        rest = Box(start + (end - bar.offcut_um) * scale, box.top, bar.offcut_um * scale, BAR)
        fill, name = (KEPT, "offcut") if bar.kept else (WASTE, "waste")
        parts.append(_part(rest, _mm(bar.offcut_um, spoken), "", fill=fill, name=name))
    return svg.group(*parts, data_part="bar", data_count=str(bar.count))


def _part(box: Box, length: str, reference: str, *, fill: str, name: str) -> str:
    """A piece or a rest, its length in it and its reference below, where there is room."""
    middle = box.left + box.width / 2
    drawn = [svg.rectangle((box.left, box.top), box.width, box.height, fill=fill, stroke_width=svg.THIN)]
    if box.width >= ROOM_FOR_TEXT:
        drawn.append(svg.text((middle, box.bottom - 1.5), length, size=svg.SMALL, anchor="middle", most=box.width - 1))
        if reference:
            (line,) = lines_at_most(reference, 1, size=svg.SMALL, width=box.width - 1)
            drawn.append(svg.text((middle, box.bottom + 3), line, size=svg.SMALL, anchor="middle", fill=svg.GREY))
    return svg.group(*drawn, data_part=name)
