"""Loading at start what would make a first document slow: typefaces and the libraries that write files."""

from service.documents import faces, plate_dxf, typesetting

WARMING = b'#set page(width: 10mm, height: 10mm)\n#set text(font: "IBM Plex Sans")\nA'
"""The smallest page, which makes the typesetter read its fonts."""


def load() -> None:
    """Load it all; for a thread beside the event loop, since it takes some tenths of a second."""
    faces.width_of("A", size=1.0)
    faces.width_of("A", size=1.0, bold=True)
    plate_dxf.empty()
    typesetting.pdf(WARMING, lambda _: {})
