"""Our own drawings of each fault and of each question, as SVG made from a few strokes."""

from __future__ import annotations

from base64 import b64encode
from functools import cache

from dash import html

from dashboard.components.drawings.canvas import sheet
from dashboard.components.drawings.cuts import CUTS
from dashboard.components.drawings.faces import FACES
from dashboard.components.drawings.icons import ICONS

# A log that only says "stuck" or "tacky" gets the picture of the commoner kind.
STANDS_FOR = {"sticking": "sticking-patches", "tacky-surface": "tacky-face"}


@cache
def fault_svg(defect: str) -> str:
    """SVG text of one fault: the look of the face above, a cut through the lay-up below."""
    drawn = STANDS_FOR.get(defect, defect)
    return sheet(FACES[drawn](), CUTS[drawn](), drawn.replace("-", " "))


def _address(svg: str) -> str:
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode("ascii")


def fault_picture(defect: str, says: str = "") -> html.Img | None:
    """The drawing as a picture; None for a fault we have no drawing of.

    `says` is read out in its place; leave it empty where the words stand beside it.
    """
    if STANDS_FOR.get(defect, defect) not in FACES:
        return None
    return html.Img(src=_address(fault_svg(defect)), alt=says, className="fault-picture")


def icon(name: str) -> html.Img:
    """A question's sign; its words always stand beside it, so it is not read out."""
    return html.Img(src=_address(ICONS[name]), alt="", className="icon")
