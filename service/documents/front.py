"""The opening from outside: closed on the left of the middle line, open on the right of it."""

from typing import NamedTuple

from service.documents import svg, view
from service.documents.frame import CURTAIN, METAL, RUBBER
from service.documents.subject import Subject
from service.documents.svg import Box, Point
from service.documents.title_block import HEIGHT as TITLE_HEIGHT
from service.documents.title_block import stopped, title_block
from service.words.languages import marked

WIDTH, HEIGHT = 190.0, 277.0
PICTURE = Box(0, 0, WIDTH, HEIGHT - TITLE_HEIGHT - 2)
TITLE_BLOCK = Box(0, HEIGHT - TITLE_HEIGHT, WIDTH, TITLE_HEIGHT)
HATCH = "front-hatch"
TITLE = marked("Front view")
NOTE = marked("Lengths in mm. Seen from outside: closed on the left, open on the right. Dashed: behind what is seen.")
HIDDEN = "1.6 0.9"
FRAME = 5.0
"""How much of the vehicle is drawn around the opening [mm of paper]."""


class Front(NamedTuple):
    """The opening on paper, 1 : `ratio`; across from its middle, up from the header's base."""

    centre: float
    base: float
    ratio: float

    def at(self, across: float, up: float) -> Point:
        """A point on paper [mm]."""
        return self.centre + across / self.ratio, self.base - up / self.ratio

    def box(self, across: tuple[float, float], up: tuple[float, float], **attributes: str | float) -> str:
        """A rectangle of the view."""
        (x1, y1), (x2, y2) = self.at(across[0], up[1]), self.at(across[1], up[0])
        return svg.rectangle((x1, y1), x2 - x1, y2 - y1, **attributes)


def front_svg(subject: Subject, *, title: bool = True) -> str:
    """The front view on one A4 page; without title the picture alone."""
    picture, foot = _picture(subject, PICTURE)
    block = (
        title_block(subject, TITLE_BLOCK, drawing=subject.say(TITLE), note=subject.say(NOTE))
        if title
        else stopped(subject, (WIDTH - 1, foot + 4))
    )
    answer = subject.answer
    description = subject.say(
        marked(
            "Opening {width} × {height} mm, daylight {clear_width} × {clear_height} mm, striker {striker} mm over the sill."
        ),
        width=subject.mm(answer.opening.width_mm),
        height=subject.mm(answer.opening.height_mm),
        clear_width=subject.mm(answer.daylight.width_mm),
        clear_height=subject.mm(answer.daylight.height_mm),
        striker=subject.mm(answer.striker.height_above_sill_mm),
    )
    return svg.document(
        svg.element("defs", view.hatch_pattern(HATCH)),
        picture,
        block,
        width=WIDTH,
        height=HEIGHT if title else foot + 6,
        title=f"{subject.say(TITLE)}, {subject.title.reference}",
        description=description,
        name="front",
    )


def _picture(subject: Subject, box: Box) -> tuple[str, float]:
    """The view with its dimensions, and where it ends."""
    opening, tracks = subject.answer.opening, subject.answer.tracks
    over = max(0.0, subject.job.mount.mouth_z_mm)
    area = Box(box.left + 24, box.top + 24, box.width - 48, box.height - 24 - 28)
    ratio = view.ratio_for(width=max(opening.width_mm, tracks.outer_width_mm), height=opening.height_mm + over, box=area)
    front = Front(box.left + box.width / 2, area.top + over / ratio, ratio)
    foot = front.at(0, -opening.height_mm)[1] + 28
    return (
        svg.group(
            svg.text((box.left, box.top + 4), subject.say(TITLE), size=svg.HEADING, bold=True),
            view.scale_bar((box.left + 60, box.top + 1.4), ratio=ratio, width=34),
            svg.text((box.right, box.top + 4), f"1 : {ratio:g}", size=svg.HEADING, anchor="end"),
            _vehicle(front, opening.width_mm, opening.height_mm),
            *_tracks(subject, front),
            *_closed(subject, front),
            *_open(subject, front),
            *_at_header(subject, front),
            *_strikers(subject, front),
            svg.line(
                front.at(0, 8 * ratio),
                front.at(0, -opening.height_mm - 3 * ratio),
                stroke=svg.GREY,
                stroke_width=svg.THIN,
                stroke_dasharray="6 1 1 1",
            ),
            *_dimensions(subject, front),
        ),
        foot,
    )


def _vehicle(front: Front, width: float, height: float) -> str:
    """The vehicle's face around the opening."""
    (x1, y1), (x2, y2) = front.at(-width / 2, 0), front.at(width / 2, -height)
    hatched = {"fill": f"url(#{HATCH})", "stroke": "none"}
    return svg.group(
        svg.rectangle((x1 - FRAME, y1 - FRAME), x2 - x1 + 2 * FRAME, FRAME, **hatched),
        svg.rectangle((x1 - FRAME, y2), x2 - x1 + 2 * FRAME, FRAME, **hatched),
        svg.rectangle((x1 - FRAME, y1), FRAME, y2 - y1, **hatched),
        svg.rectangle((x2, y1), FRAME, y2 - y1, **hatched),
        svg.rectangle((x1, y1), x2 - x1, y2 - y1, fill=svg.PAPER, stroke_width=svg.THICK, data_part="opening"),
    )


def _tracks(subject: Subject, front: Front) -> tuple[str, ...]:
    """Both tracks; dashed where jambs hide them."""
    tracks, wall = subject.answer.tracks, subject.job.hardware.track.wall_mm
    outer, top = tracks.outer_width_mm / 2, subject.job.mount.mouth_z_mm
    up = (top - tracks.length_mm, top)
    dash: dict[str, str | float] = {"stroke_dasharray": HIDDEN} if subject.job.mount.id == "face" else {"fill": METAL}
    return tuple(
        front.box(across, up, data_part="track", **dash) for across in ((-outer, wall - outer), (outer - wall, outer))
    )


def _closed(subject: Subject, front: Front) -> tuple[str, ...]:
    """The closed curtain's left half between the tracks."""
    pose, job = subject.geometry.closed, subject.job
    left = -subject.answer.daylight.width_mm / 2
    bar_low, bar_top = pose.bar[0][1], pose.bar[2][1]
    sill, bar = -subject.answer.opening.height_mm, job.hardware.bar
    lip = bar_low + bar.lip_above_underside_mm
    top = min(0.0, max(z for _, z in pose.hinges))
    return (
        front.box((left, 0), (bar_top, top), fill=CURTAIN, stroke="none"),
        *(
            svg.line(front.at(left, z), front.at(0, z), stroke=svg.GREY, stroke_width=svg.THIN)
            for _, z in pose.hinges
            if z < 0
        ),
        front.box((left, 0), (bar_low, bar_top), fill=METAL, data_part="bar"),
        front.box((left, 0), (lip, lip + 3), fill=svg.PAPER, stroke_width=svg.THIN, data_part="handle-lip"),
        front.box((left, 0), (sill, bar_low), fill=RUBBER, stroke="none", data_part="seal"),
    )


def _open(subject: Subject, front: Front) -> tuple[str, ...]:
    """The open bottom bar's right half, the daylight under it, and the coil where it hangs into the opening."""
    answer, bar = subject.answer, subject.job.hardware.bar
    pose, right = subject.geometry.open, subject.answer.daylight.width_mm / 2
    low, top = pose.bar[0][1], min(0.0, pose.bar[2][1])
    sill = -answer.opening.height_mm
    clear = sill + answer.daylight.height_mm
    drawn = [
        front.box((0, right), (low, top), fill=METAL, data_part="bar"),
        front.box((0, right), (low - bar.seal_free_mm, low), fill=RUBBER, stroke="none"),
        front.box((0, right), (sill, clear), stroke=svg.MEASURE, stroke_width=svg.MEDIUM, data_part="daylight"),
    ]
    if answer.daylight.coil_intrusion_mm > 0:
        z = -answer.daylight.coil_intrusion_mm
        drawn.append(
            svg.line(front.at(0, z), front.at(right, z), stroke_dasharray=HIDDEN, data_part="coil")
            + svg.label(
                (front.at(right / 2, z)[0], front.at(0, z)[1] + 4),
                subject.say(marked("coil, {mm} below the header's base"), mm=subject.mm(-z)),
                anchor="middle",
            )
        )
    x, y = front.at(right / 2, (sill + clear) / 2)
    said = f"{subject.mm(answer.daylight.width_mm)} × {subject.mm(answer.daylight.height_mm)}"
    return (
        *drawn,
        svg.label((x, y), subject.say(marked("daylight")), anchor="middle", fill=svg.MEASURE),
        svg.label((x, y + 4), said, anchor="middle", bold=True, fill=svg.MEASURE),
    )


def _at_header(subject: Subject, front: Front) -> tuple[str, ...]:
    """The drip rail on the header's base."""
    rail = subject.answer.drip_rail
    if rail is None:
        return ()
    half = rail.length_mm / 2
    return (
        front.box((-half, half), (-subject.job.hardware.header.drip_rail_high_mm, 0), fill=METAL, data_part="drip-rail"),
    )


def _strikers(subject: Subject, front: Front) -> tuple[str, ...]:
    """The strikers behind both tracks' inner edges, at the height of the bolts."""
    tracks, z = subject.answer.tracks, subject.answer.striker.height_above_sill_mm - subject.answer.opening.height_mm
    outer, wall = tracks.outer_width_mm / 2, subject.job.hardware.track.wall_mm
    reach = max(8.0, 1.2 * front.ratio)
    return tuple(
        front.box(across, (z - reach, z + reach), stroke_dasharray="1 0.6", stroke_width=svg.THICK, data_part="striker")
        for across in ((-outer, wall - outer), (outer - wall, outer))
    )


def _dimensions(subject: Subject, front: Front) -> tuple[str, ...]:
    """Widths under and over the opening, heights beside it."""
    answer = subject.answer
    opening, tracks = answer.opening, answer.tracks
    sill, half, outer = -opening.height_mm, opening.width_mm / 2, tracks.outer_width_mm / 2
    # of an opening that is not true, what plumb tracks can use of it is drawn
    opening_told = marked("opening {mm}") if subject.job.opening.survey is None else marked("usable {mm}")
    left, right = front.at(-max(half, outer), 0)[0] - FRAME, front.at(max(half, outer), 0)[0] + FRAME
    foot, top = front.at(0, sill)[1] + FRAME, front.at(0, 0)[1] - FRAME
    mouth = subject.job.mount.mouth_z_mm
    striker = sill + answer.striker.height_above_sill_mm

    def y(z: float) -> float:
        return front.at(0, z)[1]

    def x(across: float) -> float:
        return front.at(across, 0)[0]

    drawn = [
        view.level(foot + 5, x(-half), x(half), subject.say(opening_told, mm=subject.mm(opening.width_mm)), edge=foot),
        view.level(
            foot + 11,
            x(-outer),
            x(outer),
            subject.say(marked("over both tracks {mm}"), mm=subject.mm(tracks.outer_width_mm)),
            edge=foot,
        ),
        view.level(
            foot + 17,
            x(-tracks.lips_mm / 2),
            x(tracks.lips_mm / 2),
            subject.say(marked("between the lips {mm}"), mm=subject.mm(tracks.lips_mm)),
            edge=foot,
        ),
        view.upright(left - 13, y(0), y(sill), subject.say(opening_told, mm=subject.mm(opening.height_mm)), edge=left),
        view.upright(
            left - 5,
            y(striker),
            y(sill),
            subject.say(marked("striker {mm}"), mm=subject.mm(answer.striker.height_above_sill_mm)),
            edge=left,
            beyond=True,
        ),
        view.upright(
            right + 13,
            y(mouth),
            y(mouth - tracks.length_mm),
            subject.say(marked("track {mm}"), mm=subject.mm(tracks.length_mm)),
            edge=right,
        ),
        view.upright(
            right + 5,
            y(sill + answer.daylight.height_mm),
            y(sill),
            subject.say(marked("daylight {mm}"), mm=subject.mm(answer.daylight.height_mm)),
            edge=right,
        ),
    ]
    if answer.drip_rail is not None:
        rail = answer.drip_rail.length_mm
        drawn.append(
            view.level(
                top - 4, x(-rail / 2), x(rail / 2), subject.say(marked("drip rail {mm}"), mm=subject.mm(rail)), edge=top
            )
        )
    return tuple(drawn)
