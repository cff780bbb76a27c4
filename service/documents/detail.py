"""Where everything meets: header's base, mouth, top seal, drip rail, plate's lower edge and wheel, drawn large."""

from service.documents import frame, svg, view
from service.documents.subject import Subject
from service.documents.svg import Box
from service.documents.view import View, Window
from service.words.languages import marked

TITLE = marked("At the header's base")


def at_header(subject: Subject, box: Box, *, titled: bool = True) -> str:
    """The detail with its heights over and under the header's base."""
    geometry, plate = subject.geometry, subject.answer.side_plate
    inner, (x_w, z_w) = subject.job.opening.header_thickness_mm, geometry.wheel
    window = Window(
        max(-6.0, inner - 30),
        x_w + 10,
        min(plate.base_z_mm, subject.job.mount.mouth_z_mm) - 24,
        max(plate.base_z_mm, z_w) + 0.9 * geometry.wheel_radius_mm,
    )
    top = box.top + (8 if titled else 1)
    area = Box(box.left + 2, top, box.width - 25, box.bottom - top - 9)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    seen = View(window, area, ratio)
    right, base = seen.at(window.x_to, window.z_from)
    clip = Box(area.left, area.top, right - area.left, base - area.top)
    zero, edge = seen.at(0, 0)[1], right + 0.5
    seal = seen.at(inner, 0)[0], seen.at(inner + subject.answer.seals.top_gap_mm, 0)[0]
    mouth = geometry.track[2][1]
    heights = [(marked("wheel {mm}"), z_w)]
    if plate.base_z_mm == mouth:
        heights.append((marked("plate, track {mm}"), mouth))
    else:
        heights += [(marked("plate {mm}"), plate.base_z_mm), (marked("track {mm}"), mouth)]
    heights.sort(key=lambda one: one[1])
    return svg.group(
        *(
            (
                svg.text((box.left, box.top + 4), subject.say(TITLE), size=svg.HEADING, bold=True, most=box.width - 14),
                svg.text((box.right, box.top + 4), f"1 : {ratio:g}", size=svg.HEADING, anchor="end"),
            )
            if titled
            else ()
        ),
        frame.clip_path("clip-detail", clip),
        svg.group(
            frame.solids(subject, seen, clip),
            frame.in_frame(subject, seen, "closed", head=True, name="detail"),
            clip_path="url(#clip-detail)",
        ),
        svg.line((area.left, zero), (edge + 3, zero), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="2 1"),
        *_heights(subject, seen, heights, edge),
        view.level(
            base + 4, *seal, subject.say(marked("gap {mm}"), mm=subject.mm(subject.answer.seals.top_gap_mm)), edge=base
        ),
        *(
            svg.line((x, zero), (x, base + 4), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8")
            for x in seal
        ),
    )


def _heights(subject: Subject, seen: View, heights: list[tuple[str, float]], edge: float) -> list[str]:
    """Heights over the header's base with their signs, each at its line; pushed apart where they are too near."""
    drawn, last = [], float("inf")
    for text, z in heights:
        y = seen.at(0, z)[1]
        at = min(y + 0.9, last - 3.4)
        last = at
        sign = "↑" if z > 0 else "↓" if z < 0 else ""
        said = f"{subject.say(text, mm=subject.mm(abs(z)))} {sign}".rstrip()
        drawn += [
            svg.line((edge - 6, y), (edge, y), stroke=svg.MEASURE, stroke_width=svg.THIN),
            svg.line((edge, y), (edge + 2.4, at - 0.9), stroke=svg.MEASURE, stroke_width=svg.THIN),
            svg.text((edge + 3, at), said, size=svg.SMALL, fill=svg.MEASURE, most=21),
        ]
    return drawn
