"""Where the texts of a picture stand on paper, read back from its SVG."""

import re
from itertools import combinations

from lxml import etree
from shapely import box
from shapely.affinity import rotate

ASCENT, DESCENT = 0.72, 0.2
"""How far letters reach over and under their line [em]; independent of ours: IBM's metrics of the face, rounded."""

TOUCH_MM2 = 0.05
"""Paper that two texts may share: the corner of a letter."""


def parsed(picture):
    return etree.fromstring(picture.encode())


def texts(root):
    """Every text with the paper that it takes; turned ones as they stand."""
    found = []
    for text in root.iter("{*}text"):
        x, y, size, width = (float(text.get(name)) for name in ("x", "y", "font-size", "textLength"))
        left = x - {"start": 0, "middle": width / 2, "end": width}[text.get("text-anchor", "start")]
        paper = box(left, y - ASCENT * size, left + width, y + DESCENT * size)
        turn = text.get("transform") or text.getparent().get("transform") or ""
        turned = re.fullmatch(r"rotate\(-90 (\S+) (\S+)\)", turn)
        if turned:
            paper = rotate(paper, -90, origin=(float(turned[1]), float(turned[2])))
        found.append((text.text, paper))
    return found


def overlapping(root):
    """Pairs of texts that lie over each other."""
    return [(a, b) for (a, one), (b, other) in combinations(texts(root), 2) if one.intersection(other).area > TOUCH_MM2]


def outside(root):
    """Texts that leave the page."""
    _, _, width, height = map(float, root.get("viewBox").split())
    page = box(0, 0, width, height)
    return [text for text, paper in texts(root) if not page.covers(paper)]
