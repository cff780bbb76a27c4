"""The drilling template: both side plates at exactly 1 : 1, over as many pages of A4 or A3 as they need."""

from math import prod
from typing import Literal, NamedTuple

from service.documents import frame, svg, typesetting
from service.documents.faces import width_of
from service.documents.plate import HANDS, Hand, Laid, outline
from service.documents.subject import Hole, Subject
from service.documents.svg import Box, Point
from service.documents.wording import lines_at_most
from service.words.languages import marked

Paper = Literal["a4", "a3"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "a3": (297.0, 420.0)}
"""Short and long side [mm]."""

MARGIN = 8.0
HEAD = 20.0
"""Height of the strip with the page's title and the check bar along it."""

SIDE = 12.0
"""Width of the strip with the check bar down the page."""

OVERLAP = 10.0
REGISTER_SHARES = (0.15, 0.85)
"""Where along a join its two register marks are."""

BAR = 100.0
WARNING = marked("Print at 100 %, never fitted to the page. Measure both bars before drilling: each must be 100 mm.")
START: svg.Anchor = "start"
END: svg.Anchor = "end"

SEEN = marked("Seen from the middle of the opening. Left and right as seen from outside.")
JOINING = marked("Join the pages along the dash-dotted lines, letter on letter.")
NAMES: dict[Hand, str] = {"left": marked("LEFT side plate {id}, 1 : 1"), "right": marked("RIGHT side plate {id}, 1 : 1")}
PAGE = marked("page {number} of {count}")
PAGE_STOPPED = marked("page {number} of {count}: DOES NOT FIT, do not drill")

TEMPLATE = b"""#let given = json(bytes(sys.inputs.given))
#set document(title: given.title, date: datetime(year: 2000, month: 1, day: 1))
#set text(lang: given.language)
#for one in given.pages {
  let (width, height) = (one.width * 1mm, one.height * 1mm)
  page(width: width, height: height, margin: 0mm, image(bytes(one.svg), width: width, height: height, alt: one.alt))
}
"""


class Sheet(NamedTuple):
    """One kind of page: its size and the area that carries the drawing."""

    width: float
    height: float

    @property
    def area(self) -> Box:
        """Paper for the drawing [mm]."""
        left, top = MARGIN + SIDE, MARGIN + HEAD
        return Box(left, top, self.width - left - MARGIN, self.height - top - MARGIN)

    def tiles(self, *, deep: float, high: float) -> tuple[int, int]:
        """How many pages across and up a plate takes."""
        area = self.area
        return _pages(deep, area.width), _pages(high, area.height)


class Page(NamedTuple):
    """One page of a plate: the column from the left and the row from below, both from 0, and how many there are."""

    hand: Hand
    sheet: Sheet
    column: int
    row: int
    columns: int
    rows: int

    @property
    def number(self) -> int:
        """Number of the page among its plate's, from 1."""
        return 1 + self.column + self.columns * self.row

    def at(self, right: float, up: float) -> Point:
        """Paper for a point so far from the lower left corner of the plate as it lies here [mm]."""
        area = self.sheet.area
        return (
            area.left + right - self.column * (area.width - OVERLAP),
            area.bottom - up + self.row * (area.height - OVERLAP),
        )


def _pages(length: float, room: float) -> int:
    """How many pages with their overlap take a length."""
    return 1 if length <= room else 1 + -int(-(length - room) // (room - OVERLAP))


def _sheet_for(paper: Paper, *, deep: float, high: float) -> Sheet:
    """Upright or on its side, whichever takes fewer pages."""
    short, long = PAPERS[paper]
    upright, across = Sheet(short, long), Sheet(long, short)
    return across if prod(across.tiles(deep=deep, high=high)) < prod(upright.tiles(deep=deep, high=high)) else upright


def plate_pdf(subject: Subject, *, paper: Paper = "a4") -> bytes:
    """The template as PDF: the left plate's pages, then the right plate's."""
    return typesetting.pdf(TEMPLATE, lambda write: _inputs(subject.written(write), paper))


def _inputs(subject: Subject, paper: Paper) -> dict[str, object]:
    """What the pages are set from."""
    plate = subject.plate
    sheet = _sheet_for(paper, deep=plate.deep_mm, high=plate.high_mm)
    columns, rows = sheet.tiles(deep=plate.deep_mm, high=plate.high_mm)
    pages = [
        Page(hand, sheet, column, row, columns, rows) for hand in HANDS for row in range(rows) for column in range(columns)
    ]
    return {
        "language": subject.language.code,
        "title": subject.say(marked("Drilling template 1:1, {reference}"), reference=subject.write(subject.title.reference)),
        "pages": [
            {
                "width": sheet.width,
                "height": sheet.height,
                "svg": _drawn(subject, page),
                "alt": f"{_name(subject, page)}, {_number(subject, page)}",
            }
            for page in pages
        ],
    }


def _drawn(subject: Subject, page: Page) -> str:
    """One page."""
    area = page.sheet.area
    front = 0.0 if page.hand == "left" else subject.plate.deep_mm
    laid = Laid(page.at(front, 0), 1.0, page.hand)
    return svg.document(
        frame.clip_path("area", Box(area.left - 1, area.top - 1, area.width + 2, area.height + 2)),
        svg.group(*_plate(subject, laid, area), *_joins(subject, page), clip_path="url(#area)"),
        _strip(subject, page),
        _bars(page.sheet),
        width=page.sheet.width,
        height=page.sheet.height,
        title=_name(subject, page),
        description=subject.say(WARNING),
        name="template",
    )


def _plate(subject: Subject, laid: Laid, area: Box) -> tuple[str, ...]:
    """Outline and holes."""
    plate = subject.plate
    wheel, bracket = subject.chosen_holes
    front = laid.at(0, plate.high_mm / 2)
    inside = 5 if laid.hand == "left" else -2
    return (
        svg.polygon(outline(laid, plate), stroke_width=svg.MEDIUM),
        svg.text((front[0] + inside, front[1]), subject.say(marked("front edge")), anchor="middle", turned=True),
        svg.text(_moved(laid.at(plate.deep_mm / 2, 0), 0, -2), subject.say(marked("lower edge")), anchor="middle"),
        *(_mark(laid.at(hole.from_front_mm, hole.from_base_mm)) for hole in subject.spare_holes),
        *(_bored(laid.at(hole.from_front_mm, hole.from_base_mm), hole) for hole in subject.fixing_holes),
        *(_sized(subject, laid, area, hole) for hole in subject.fixing_holes if hole.from_base_mm > plate.high_mm / 2),
        *_chosen(subject, laid, area, wheel, subject.say(marked("WHEEL, hole {name}"), name=wheel.name)),
        *_chosen(subject, laid, area, bracket, subject.say(marked("BRACKET, {name}"), name=bracket.name)),
    )


def _moved(point: Point, right: float, down: float) -> Point:
    return point[0] + right, point[1] + down


def _mark(centre: Point) -> str:
    """A hole that is not used."""
    return svg.group(
        svg.line(_moved(centre, -1.2, 0), _moved(centre, 1.2, 0)),
        svg.line(_moved(centre, 0, -1.2), _moved(centre, 0, 1.2)),
        stroke=svg.GREY,
        stroke_width=svg.THIN,
    )


def _bored(centre: Point, hole: Hole) -> str:
    """A hole to drill at its size, with a cross through its centre."""
    radius = (hole.diameter_mm or 0) / 2
    return svg.group(
        svg.circle(centre, radius),
        svg.line(_moved(centre, -radius - 3, 0), _moved(centre, radius + 3, 0), stroke_width=svg.THIN),
        svg.line(_moved(centre, 0, -radius - 3), _moved(centre, 0, radius + 3), stroke_width=svg.THIN),
    )


def _roomier(subject: Subject, laid: Laid, area: Box, centre: Point) -> tuple[float, svg.Anchor]:
    """How far aside of a hole a text begins, and its anchor: on the side where plate and page have more room."""
    edges = sorted(x for x, _ in outline(laid, subject.plate))
    rightwards = min(area.right, edges[-1]) - centre[0] > centre[0] - max(area.left, edges[0])
    return (10, START) if rightwards else (-10, END)


def _sized(subject: Subject, laid: Laid, area: Box, hole: Hole) -> str:
    """What a fixing hole is drilled with, on the page that shows its centre."""
    centre = laid.at(hole.from_front_mm, hole.from_base_mm)
    if not area.left <= centre[0] <= area.right or not area.top <= centre[1] <= area.bottom:
        return ""
    side, anchor = _roomier(subject, laid, area, centre)
    said = subject.say(marked("Ø {diameter} countersunk"), diameter=subject.mm(hole.diameter_mm or 0))
    return svg.label(_moved(centre, side, 1), said, size=3, anchor=anchor)


def _chosen(subject: Subject, laid: Laid, area: Box, hole: Hole, name: str) -> tuple[str, ...]:
    """A hole for wheel or bracket; named and measured on the page that shows its centre, on the side with more room."""
    centre = laid.at(hole.from_front_mm, hole.from_base_mm)
    if not area.left <= centre[0] <= area.right or not area.top <= centre[1] <= area.bottom:
        return (_bored(centre, hole),)
    places = (
        subject.say(marked("Ø {diameter}"), diameter=subject.mm(hole.diameter_mm or 0)),
        subject.say(marked("{mm} from front edge"), mm=subject.mm(hole.from_front_mm)),
        subject.say(marked("{mm} from lower edge"), mm=subject.mm(hole.from_base_mm)),
    )
    side, anchor = _roomier(subject, laid, area, centre)
    return (
        _bored(centre, hole),
        svg.label(_moved(centre, side, -2.6), name, size=3.4, bold=True, anchor=anchor),
        *(
            svg.label(_moved(centre, side, down), said, size=3, anchor=anchor)
            for down, said in zip((3.4, 7.2, 11), places, strict=True)
        ),
    )


def _joins(subject: Subject, page: Page) -> tuple[str, ...]:
    """Lines along which pages are joined, with register marks that must fall on each other."""
    plate, area = subject.plate, page.sheet.area
    across = [index * (area.width - OVERLAP) + OVERLAP / 2 for index in range(1, page.columns)]
    up = [index * (area.height - OVERLAP) + OVERLAP / 2 for index in range(1, page.rows)]
    lines = [((x, 0.0), (x, plate.high_mm)) for x in across] + [((0.0, z), (plate.deep_mm, z)) for z in up]
    marks = [
        (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        for start, end in lines
        for share in REGISTER_SHARES
    ]
    return (
        *(
            svg.line(page.at(*start), page.at(*end), stroke_width=svg.THIN, stroke_dasharray="4 1 1 1")
            for start, end in lines
        ),
        *(_register(page.at(*mark), chr(ord("A") + index)) for index, mark in enumerate(marks)),
    )


def _register(centre: Point, letter: str) -> str:
    """A register mark."""
    return svg.group(
        svg.circle(centre, 2.5),
        svg.line(_moved(centre, -4, 0), _moved(centre, 4, 0)),
        svg.line(_moved(centre, 0, -4), _moved(centre, 0, 4)),
        svg.label(_moved(centre, 1.2, -2.9), letter, bold=True),
        stroke_width=svg.THIN,
        data_register=letter,
    )


def _name(subject: Subject, page: Page) -> str:
    """Which plate a page shows."""
    return subject.say(NAMES[page.hand], id=subject.plate.id)


def _number(subject: Subject, page: Page) -> str:
    """Which of its plate's pages a page is, and whether its holes may be drilled."""
    return subject.say(PAGE_STOPPED if subject.stopped else PAGE, number=page.number, count=page.columns * page.rows)


def _strip(subject: Subject, page: Page) -> str:
    """Which plate, which page, whose, and what to do first."""
    title, width = subject.title, page.sheet.width - 2 * MARGIN
    joined = page.columns * page.rows > 1
    identity = subject.say(
        marked("{catalogue}, calculation {version}, result SHA-256 {digest}"),
        catalogue=subject.write(title.catalogue),
        version=title.calculation_version,
        digest=title.digest,
    )
    seen, right = subject.say(SEEN), page.sheet.width - MARGIN
    reference = lines_at_most(subject.write(title.reference), 1, size=2.8, width=width - width_of(seen, size=2.2) - 2)[0]
    return svg.group(
        svg.text((MARGIN, MARGIN + 4), _name(subject, page), size=4.2, bold=True, most=0.45 * width),
        svg.text((right, MARGIN + 4), _number(subject, page), size=4.2, anchor="end", bold=True, most=0.53 * width),
        svg.text((MARGIN, MARGIN + 8), reference, size=2.8),
        svg.text((right, MARGIN + 8), seen, size=2.2, anchor="end"),
        svg.text((MARGIN, MARGIN + 11.4), lines_at_most(identity, 1, size=2.2, width=width)[0], size=2.2),
        svg.text((MARGIN, MARGIN + 22), subject.spelling, size=2.2) if subject.spelling else "",
        svg.text((MARGIN, MARGIN + 15), subject.say(WARNING), size=2.8, bold=True, most=width),
        svg.text((right, MARGIN + 18.4), subject.say(JOINING), size=2.4, anchor="end", most=width - SIDE - BAR - 14)
        if joined
        else "",
    )


def _bars(sheet: Sheet) -> str:
    """A bar of 100 mm along the page and one down it."""
    left, top = MARGIN + SIDE, MARGIN + HEAD - 2.6
    side, start = MARGIN + 5, sheet.area.top
    return svg.group(
        _bar((left, top), (left + BAR, top)),
        svg.text((left + BAR + 2, top + 1), "100 mm"),
        _bar((side, start), (side, start + BAR)),
        svg.text((side + 1, start + BAR + 2), "100 mm", turned=True, anchor="end"),
        stroke_width=0.3,
    )


def _bar(start: Point, end: Point) -> str:
    """A measured line with a tick every 10 mm; its ends are the outermost ticks."""
    along = ((end[0] - start[0]) / BAR, (end[1] - start[1]) / BAR)
    ticks = []
    for place in range(0, int(BAR) + 1, 10):
        x, y = start[0] + place * along[0], start[1] + place * along[1]
        reach = 2.0 if place in (0, BAR) else 1.0
        ticks.append(svg.line((x - reach * along[1], y - reach * along[0]), (x + reach * along[1], y + reach * along[0])))
    return svg.group(svg.line(start, end), *ticks)
