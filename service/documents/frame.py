"""What every view of the section draws in its frame: solids, plate, track, wheel, tube, curtain, holes."""

from math import acos, atan2, cos, hypot, sin
from typing import Literal

from service.calculation.geometry import Point, Pose
from service.documents import svg, view
from service.documents.subject import Subject
from service.documents.svg import Box
from service.documents.view import View

HATCH = "section-hatch"

Position = Literal["closed", "open"]


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
        _curtain(subject, "closed"),
        _curtain(subject, "open"),
    )


def pose_of(subject: Subject, position: Position) -> Pose:
    """The curtain in one position."""
    return subject.geometry.closed if position == "closed" else subject.geometry.open


def _curtain(subject: Subject, position: Position) -> str:
    """Every slat, the bottom bar and its seal, in the frame's millimetres."""
    pose, bar = pose_of(subject, position), subject.job.hardware.bar
    seal = subject.answer.seals.bottom_compressed_mm if position == "closed" else bar.seal_free_mm
    left, right = min(x for x, _ in pose.bar), max(x for x, _ in pose.bar)
    base = min(z for _, z in pose.bar)
    thickness = subject.geometry.slat_thickness_mm
    return svg.group(
        *(
            svg.polygon(slat_outline(upper, lower, thickness_mm=thickness), data_slat=str(index))
            for index, (upper, lower) in enumerate(zip(pose.hinges, pose.hinges[1:], strict=False))
        ),
        svg.polygon(pose.bar, data_part="bar", fill="#bbb"),
        svg.polygon(
            ((left, base), (right, base), (right, base - seal), (left, base - seal)), data_part="seal", fill=svg.INK
        ),
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


def in_frame(subject: Subject, seen: View, position: Position, *, holes: bool) -> str:
    """What is drawn in the frame itself: plate, track, wheel, tube, curtain, and the holes over all of them."""
    geometry = subject.geometry
    fine, plain = seen.stroke(svg.THIN), seen.stroke(svg.MEDIUM)
    return svg.group(
        svg.polygon(geometry.plate, data_part="plate", fill="#f3f3f0", stroke_width=plain),
        svg.polygon(geometry.track, data_part="track", fill=svg.PAPER, stroke_width=plain),
        svg.circle(geometry.wheel, geometry.wheel_radius_mm, data_part="wheel", fill=svg.PAPER, stroke_width=plain),
        svg.circle(geometry.bracket, geometry.tube_radius_mm, data_part="tube", fill=svg.PAPER, stroke_width=plain),
        *((_strap(subject, plain),) if position == "closed" else ()),
        svg.element("use", href=f"#curtain-{position}", fill="#dcdcd6", stroke_width=fine),
        _coil_circle(subject, seen),
        *(_holes(subject, seen) if holes else ()),
        transform=seen.transform,
        data_view=f"{'head' if holes else 'whole'}-{position}",
    )


def _strap(subject: Subject, width: float) -> str:
    """The strap between curtain and tube, from the first hinge over the top of the tube."""
    hinge, (x_b, z_b), radius = subject.geometry.closed.hinges[0], subject.geometry.bracket, subject.geometry.tube_radius_mm
    dx, dz = hinge[0] - x_b, hinge[1] - z_b
    # the tangent touches where the radius is so far turned from the line to the hinge, towards the top
    turned = atan2(dz, dx) - acos(radius / hypot(dx, dz))
    return svg.line(hinge, (x_b + radius * cos(turned), z_b + radius * sin(turned)), data_part="strap", stroke_width=width)


def _coil_circle(subject: Subject, seen: View) -> str:
    """The coil with all slats wound, dash-dotted: clearances are counted from it."""
    dash = " ".join(svg.number(seen.stroke(part)) for part in (2, 0.6, 0.4, 0.6))
    return svg.circle(
        subject.geometry.bracket,
        subject.coil_radius_mm,
        data_part="coil",
        stroke=svg.MEASURE,
        stroke_width=seen.stroke(svg.THIN),
        stroke_dasharray=dash,
    )


def _holes(subject: Subject, seen: View) -> tuple[str, ...]:
    """Every hole of the side plate; the chosen two as targets."""
    plate = subject.answer.side_plate
    free = [
        svg.circle(
            (plate.front_x_mm + hole.from_front_mm, plate.base_z_mm + hole.from_base_mm),
            seen.stroke(0.3),
            data_hole="free",
            fill=svg.PAPER,
            stroke_width=seen.stroke(0.1),
        )
        for hole in subject.free_holes
    ]
    targets = [
        _target((plate.front_x_mm + hole.from_front_mm, plate.base_z_mm + hole.from_base_mm), seen)
        for hole in subject.chosen_holes
    ]
    return (*free, *targets)


def _target(centre: Point, seen: View) -> str:
    """A chosen hole: a ring with a cross through it."""
    x, z = centre
    radius, reach = seen.stroke(1.1), seen.stroke(2.1)
    return svg.group(
        svg.circle(centre, radius, fill=svg.PAPER),
        svg.line((x - reach, z), (x + reach, z)),
        svg.line((x, z - reach), (x, z + reach)),
        svg.circle(centre, radius / 3, fill=svg.INK, data_hole="chosen"),
        stroke_width=seen.stroke(0.3),
    )


def clip_path(name: str, box: Box) -> str:
    """Paper outside of which a view is not drawn."""
    return svg.element("clipPath", svg.rectangle((box.left, box.top), box.width, box.height), id=name)
