"""The block under a drawing: whose it is, whether it fits, what it was calculated with."""

from service.documents import svg
from service.documents.subject import Subject
from service.documents.svg import Box
from service.documents.wording import STOP, lines_at_most
from service.words.languages import marked

HEIGHT = 29.0
NO_REFERENCE = marked("(no reference)")


def title_block(subject: Subject, box: Box, *, drawing: str, note: str) -> str:
    """Reference, drawing, verdict, catalogue, version, digest."""
    title, right = subject.title, box.left + 0.64 * box.width
    room = right - box.left - 4
    name = subject.write(title.reference) or subject.say(NO_REFERENCE)
    reference = lines_at_most(name, 2, size=svg.HEADING, width=room, bold=True)
    notes = lines_at_most(note, 3, size=svg.SMALL, width=room)
    lines = (
        (marked("verdict"), subject.verdict),
        (marked("catalogue"), lines_at_most(subject.write(title.catalogue), 1, size=svg.TEXT, width=40, bold=True)[0]),
        (marked("calculation"), title.calculation_version),
    )
    return svg.group(
        svg.rectangle((box.left + 0.25, box.top), box.width - 0.5, box.height - 0.25, stroke_width=svg.THICK),
        svg.line((right, box.top), (right, box.bottom - 6)),
        svg.line((box.left, box.bottom - 6), (box.right, box.bottom - 6)),
        svg.text((box.left + 2, box.top + 4), drawing, size=svg.SMALL, fill=svg.GREY),
        *(
            svg.text((box.left + 2, box.top + 8 + 4 * index), one, size=svg.HEADING, bold=True, most=room)
            for index, one in enumerate(reference)
        ),
        *(svg.text((box.left + 2, box.top + 15.4 + 3 * index), one, size=svg.SMALL) for index, one in enumerate(notes)),
        *(
            svg.group(
                svg.text((right + 2, box.top + 5 + 5.5 * index), subject.say(label), size=svg.SMALL, fill=svg.GREY),
                svg.text((right + 23, box.top + 5 + 5.5 * index), value, bold=True, most=box.right - right - 25),
            )
            for index, (label, value) in enumerate(lines)
        ),
        stopped(subject, (box.right - 2.5, box.bottom - 8)),
        svg.text(
            (box.left + 2, box.bottom - 2),
            subject.say(marked("result SHA-256 {digest}"), digest=title.digest),
            size=svg.SMALL,
        ),
        data_part="title-block",
    )


def stopped(subject: Subject, at: svg.Point) -> str:
    """What must be read first where nothing fits; it ends at a point on paper."""
    return svg.label(at, subject.say(STOP), anchor="end", framed=True) if subject.stopped else ""
