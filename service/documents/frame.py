"""What every view of the section draws in its frame: solids, plate, track, seals, wheel, tube, curtain, obstacles."""

from math import acos, atan2, cos, hypot, sin
from typing import Literal

from service.calculation.geometry import Point, Pose
from service.calculation.job import Obstacle
from service.documents import svg, view
from service.documents.subject import Subject
from service.documents.svg import Box
from service.documents.view import View

HATCH = "section-hatch"

PLATE, METAL, CURTAIN, RUBBER, OBSTACLE = "#eef2f4", "#b9c3c9", "#dde3e6", "#333", "#f6dfc8"
"""What plates, solid profiles, slats, seals and obstacles are filled with."""

LIP_THICK_MM = 3.0
"""How thick a handle lip is drawn; no figure rests on it."""

RAIL_DEEP_MM = 22.0
"""How deep a drip rail is drawn where the header is thick enough; no figure rests on it."""

Position = Literal["closed", "open"]
POSITIONS: tuple[Position, Position] = ("closed", "open")


def slat_outline(upper: Point, lower: Point, *, thickness_mm: float) -> tuple[Point, ...]:
    """The four corners of a slat between its two hinges, in the frame [mm]."""
    dx, dz = lower[0] - upper[0], lower[1] - upper[1]
    length = hypot(dx, dz)
    nx, nz = -dz / length * thickness_mm / 2, dx / length * thickness_mm / 2
    return (
        (upper[0] + nx, upper[1] + nz),
        (lower[0] + nx, lower[1] + nz),
        (lower[0] - nx, lower[1] - nz),
        (upper[0] - nx, upper[1] - nz),
    )


def definitions(subject: Subject) -> str:
    """Both curtains in the frame, drawn once and used in each view, and the hatching."""
    return svg.element(
        "defs",
        view.hatch_pattern(HATCH),
        curtain(subject, "closed"),
        curtain(subject, "open"),
    )


def pose_of(subject: Subject, position: Position) -> Pose:
    """The curtain in one position."""
    return subject.geometry.closed if position == "closed" else subject.geometry.open


def curtain(subject: Subject, position: Position) -> str:
    """Every slat, the bottom bar with its handle lip and its seal, in the frame's millimetres."""
    pose, bar = pose_of(subject, position), subject.job.hardware.bar
    seal = subject.answer.seals.bottom_compressed_mm if position == "closed" else bar.seal_free_mm
    left, right = min(x for x, _ in pose.bar), max(x for x, _ in pose.bar)
    base = min(z for _, z in pose.bar)
    lip = base + bar.lip_above_underside_mm
    thickness = subject.geometry.slat_thickness_mm
    return svg.group(
        *(
            svg.polygon(slat_outline(upper, lower, thickness_mm=thickness), data_slat=str(index))
            for index, (upper, lower) in enumerate(zip(pose.hinges, pose.hinges[1:], strict=False))
        ),
        svg.polygon(pose.bar, data_part="bar", fill=METAL),
        svg.polygon(
            (
                (left - bar.lip_deep_mm, lip),
                (left, lip),
                (left, lip + LIP_THICK_MM),
                (left - bar.lip_deep_mm, lip + LIP_THICK_MM),
            ),
            data_part="handle-lip",
            fill=METAL,
        ),
        svg.polygon(((left, base), (right, base), (right, base - seal), (left, base - seal)), data_part="seal", fill=RUBBER),
        id=f"curtain-{position}",
    )


def solids(subject: Subject, seen: View, clip: Box) -> str:
    """Header, roof, rear and sill, hatched on their far side."""
    geometry, depth = subject.geometry, view.HATCH_DEPTH
    header_left, header_base = seen.at(0, 0)
    header_right, roof = seen.at(subject.job.opening.header_thickness_mm, geometry.roof_z_mm)
    rear, sill = seen.at(geometry.rear_x_mm, geometry.sill_z_mm)
    hatched = {"fill": f"url(#{HATCH})", "stroke": "none"}
    left = max(clip.left, header_left - 4)
    return svg.group(
        svg.rectangle((left, roof - depth), rear + depth - left, depth, **hatched),
        svg.line((left, roof), (rear, roof), data_part="roof"),
        svg.rectangle((rear, roof), depth, sill - roof, **hatched),
        svg.line((rear, roof), (rear, sill), data_part="rear"),
        svg.rectangle((left, sill), rear + depth - left, depth, **hatched),
        svg.line((left, sill), (rear, sill), data_part="sill"),
        svg.rectangle((header_left, roof), header_right - header_left, header_base - roof, fill=svg.PAPER),
        svg.rectangle(
            (header_left, roof), header_right - header_left, header_base - roof, fill=f"url(#{HATCH})", data_part="header"
        ),
        stroke_width=svg.THICK,
    )


def _obstacle(box: Obstacle, width: float) -> str:
    """A box that nothing may touch: a crossed rectangle."""
    left, right, base, top = box.x_mm, box.x_mm + box.deep_mm, box.z_mm, box.z_mm + box.high_mm
    return svg.group(
        svg.polygon(((left, base), (right, base), (right, top), (left, top)), fill=OBSTACLE, fill_opacity=0.8),
        svg.line((left, top), (right, base)),
        svg.line((left, base), (right, top)),
        data_part="obstacle",
        stroke_width=width,
    )


def in_frame(subject: Subject, seen: View, position: Position, *, head: bool, name: str = "") -> str:
    """What is drawn in the frame itself: plate, track, seals, wheel, tube and curtain.

    In the head also the holes to make; open, the coil with all slats wound as a dash-dotted circle.
    """
    geometry = subject.geometry
    fine, plain = seen.stroke(svg.THIN), seen.stroke(svg.MEDIUM)
    return svg.group(
        svg.polygon(geometry.plate, data_part="plate", fill=PLATE, stroke_width=plain),
        svg.polygon(geometry.track, data_part="track", fill=svg.PAPER, stroke_width=plain),
        *_at_header(subject, fine),
        *(_obstacle(box, fine) for box in subject.job.opening.obstacles),
        svg.circle(geometry.wheel, geometry.wheel_radius_mm, data_part="wheel", fill=svg.PAPER, stroke_width=plain),
        svg.circle(geometry.bracket, geometry.tube_radius_mm, data_part="tube", fill=svg.PAPER, stroke_width=plain),
        *((_strap(subject, seen.stroke(0.5)),) if position == "closed" else ()),
        svg.element("use", href=f"#curtain-{position}", fill=CURTAIN, stroke_width=fine),
        *((_coil_circle(subject, seen),) if position == "open" else ()),
        *(_holes(subject, seen) if head else ()),
        transform=seen.transform,
        data_view=name or f"{'head' if head else 'whole'}-{position}",
    )


def top_seal_z(subject: Subject) -> tuple[float, float]:
    """Between which heights the top seal lies: behind the drip rail where there is one, else on the header's face [mm]."""
    high = subject.job.hardware.header.drip_rail_high_mm
    return (-high, 0.0) if subject.answer.drip_rail is not None else (0.0, high)


def _at_header(subject: Subject, width: float) -> tuple[str, ...]:
    """The drip rail under the header's base, and the top seal from the header's inner face to the curtain."""
    inner, (base, top) = subject.job.opening.header_thickness_mm, top_seal_z(subject)
    reach = inner + subject.answer.seals.top_gap_mm
    foot = inner + 0.35 * (reach - inner)
    middle = (base + top) / 2
    seal = svg.polygon(
        ((inner, base), (foot, base), (foot, middle), (reach, middle + 1), (reach, top), (foot, top - 1), (inner, top)),
        data_part="top-seal",
        fill=RUBBER,
        stroke_width=width,
    )
    if subject.answer.drip_rail is None:
        return (seal,)
    front = inner - min(inner, RAIL_DEEP_MM)
    rail = svg.polygon(
        (
            (front, base),
            (front + 2, base),
            (front + 2, -2),
            (inner - 2, -2),
            (inner - 2, base),
            (inner, base),
            (inner, 0),
            (front, 0),
        ),
        data_part="drip-rail",
        fill=METAL,
        stroke_width=width,
    )
    return rail, seal


def strap_points(subject: Subject) -> list[Point]:
    """The strap between curtain and tube: from the first hinge to the tube, and round it for what is left of its length."""
    hinge, (x_b, z_b), radius = subject.geometry.closed.hinges[0], subject.geometry.bracket, subject.geometry.tube_radius_mm
    dx, dz = hinge[0] - x_b, hinge[1] - z_b
    # the tangent touches where the radius is so far turned from the line to the hinge, towards the top
    touch = atan2(dz, dx) - acos(min(1.0, radius / hypot(dx, dz)))
    free = (max(0.0, dx * dx + dz * dz - radius * radius)) ** 0.5
    left = max(0.0, subject.job.hardware.running.strap_length_mm - free) / radius
    steps = 1 + int(left / 0.15)
    return [
        hinge,
        *(
            (x_b + radius * cos(touch - left * step / steps), z_b + radius * sin(touch - left * step / steps))
            for step in range(steps + 1)
        ),
    ]


def _strap(subject: Subject, width: float) -> str:
    """The strap as a line."""
    return svg.element(
        "polyline",
        points=svg.points_of(strap_points(subject)),
        data_part="strap",
        stroke_width=width,
        stroke_linejoin="round",
    )


def _coil_circle(subject: Subject, seen: View) -> str:
    """The coil with all slats wound, dash-dotted: clearances are counted from it."""
    dash = " ".join(svg.number(seen.stroke(part)) for part in (2, 0.6, 0.4, 0.6))
    return svg.circle(
        subject.geometry.bracket,
        subject.coil_radius_mm,
        data_part="coil",
        stroke=svg.MEASURE,
        stroke_width=seen.stroke(svg.MEDIUM),
        stroke_dasharray=dash,
    )


def _holes(subject: Subject, seen: View) -> tuple[str, ...]:
    """The holes for wheel and bracket, with a cross."""
    return tuple(
        svg.group(
            svg.circle(centre, (hole.diameter_mm or 0) / 2, fill=svg.PAPER, data_hole="chosen"),
            svg.line((centre[0] - reach, centre[1]), (centre[0] + reach, centre[1])),
            svg.line((centre[0], centre[1] - reach), (centre[0], centre[1] + reach)),
            stroke_width=seen.stroke(0.2),
        )
        for centre, hole in zip((subject.geometry.wheel, subject.geometry.bracket), subject.chosen_holes, strict=True)
        for reach in (seen.stroke(1.6),)
    )


def clip_path(name: str, box: Box) -> str:
    """Paper outside of which a view is not drawn."""
    return svg.element("clipPath", svg.rectangle((box.left, box.top), box.width, box.height), id=name)
