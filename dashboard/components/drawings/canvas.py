"""The sheet every fault drawing is made on: a face seen from the mould side, and a cut through it.

A drawing is 240 x 200. The upper 240 x 112 is the look of the face; below it is a cross-section
with the mould at the bottom, as it stands while the part is laid up. Colours are classes, so
that one drawing serves a light and a dark screen, and print.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from random import Random

Point = tuple[float, float]

WIDTH, HEIGHT = 240, 200
FACE = (4.0, 4.0, 236.0, 108.0)
BACK, SKIN, GEL, MOULD, FLOOR = 126.0, 150.0, 164.0, 177.0, 196.0

STYLE = """
.paper{fill:#f7f3ea}.mould{fill:#5b6b70}.hatch{stroke:#83949a;stroke-width:1.5}
.gel{fill:#2f8796}.gel-soft{fill:#8cc3cb}.lam{fill:#e6cc98}.skin{fill:#dcbb7a}
.fibre{stroke:#9a7430;stroke-width:1.3;fill:none;stroke-linecap:round}
.dry{fill:#fbf8f0}.release{stroke:#f0a63c;stroke-width:2.2;fill:none}
.gloss{fill:#fff;opacity:.28}.shade{fill:#10282d;opacity:.3}
.ink{stroke:#15252a;stroke-width:2.4;fill:none;stroke-linecap:round;stroke-linejoin:round}
.thin{stroke:#15252a;stroke-width:1.3;fill:none;stroke-linecap:round;stroke-linejoin:round}
.hole{fill:#15252a}.gap{fill:#f7f3ea;stroke:#15252a;stroke-width:1.6}
.hot{fill:#b4551d}.pale{fill:#d8eef0}.deep{fill:#145560}.mark{fill:#15252a}
@media (prefers-color-scheme:dark){.paper{fill:#1c282b}.gap{fill:#1c282b;stroke:#eef2ea}
.ink,.thin{stroke:#071214}.lam{fill:#cdb27c}.skin{fill:#b99a5c}.mould{fill:#728488}
.hatch{stroke:#51636a}.gel{fill:#3f9dac}.mark{fill:#eef2ea}.on-paper{stroke:#eef2ea}}
"""


def path(points: Iterable[Point], css: str, closed: bool = False) -> str:
    """SVG path through the points, straight from one to the next."""
    steps = " L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    return f'<path class="{css}" d="M{steps}{" Z" if closed else ""}"/>'


def curve(points: Sequence[Point], css: str, closed: bool = False) -> str:
    """SVG path that runs smoothly through the middles between the points."""
    if closed:
        points = [*points, points[0], points[1]]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(points)]
    start = middles[0] if closed else points[0]
    steps = [f"M{start[0]:.1f} {start[1]:.1f}"]
    for corner, to in zip(points[1:], middles[1:], strict=False):
        steps.append(f"Q{corner[0]:.1f} {corner[1]:.1f} {to[0]:.1f} {to[1]:.1f}")
    if not closed:
        steps.append(f"L{points[-1][0]:.1f} {points[-1][1]:.1f}")
    return f'<path class="{css}" d="{" ".join(steps)}{" Z" if closed else ""}"/>'


def circle(x: float, y: float, r: float, css: str) -> str:
    return f'<circle class="{css}" cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}"/>'


def oval(x: float, y: float, rx: float, ry: float, css: str) -> str:
    return f'<ellipse class="{css}" cx="{x:.1f}" cy="{y:.1f}" rx="{rx:.1f}" ry="{ry:.1f}"/>'


def box(left: float, top: float, right: float, bottom: float, css: str, r: float = 0) -> str:
    size = f'width="{right - left:.1f}" height="{bottom - top:.1f}"'
    return f'<rect class="{css}" x="{left:.1f}" y="{top:.1f}" {size} rx="{r}"/>'


def blob(x: float, y: float, r: float, seed: int, css: str, flat: float = 0.7) -> str:
    """A closed uneven patch about (x, y), like a torn or lifted area."""
    rng = Random(seed)
    turns = [2 * math.pi * k / 11 for k in range(11)]
    reach = [r * rng.uniform(0.7, 1.15) for _ in turns]
    return curve(
        [
            (x + d * math.cos(t), y + d * flat * math.sin(t))
            for t, d in zip(turns, reach, strict=True)
        ],
        css,
        closed=True,
    )


def ragged(
    left: float, right: float, y: float, rise: float, seed: int, step: float = 7
) -> list[Point]:
    """Points of a torn edge from left to right about height y."""
    rng = Random(seed)
    count = int((right - left) / step)
    inner = [(left + step * k, y + rng.uniform(-rise, rise)) for k in range(1, count)]
    return [(left, y), *inner, (right, y)]


def wave(left: float, right: float, y: float, rise: float, length: float) -> list[Point]:
    """Points of a regular wave from left to right about height y."""
    count = int((right - left) / (length / 4))
    return [
        *((left + k * length / 4, y + rise * math.sin(k * math.pi / 2)) for k in range(count + 1)),
        (right, y),
    ]


def spread(
    seed: int, count: int, area: tuple[float, float, float, float], apart: float
) -> list[Point]:
    """Points scattered over an area, none closer to another than `apart`."""
    rng, kept = Random(seed), list[Point]()
    for _ in range(count * 40):
        spot = (rng.uniform(area[0], area[2]), rng.uniform(area[1], area[3]))
        if all(math.dist(spot, other) >= apart for other in kept):
            kept.append(spot)
        if len(kept) == count:
            break
    return kept


def fibres(left: float, right: float, top: float, bottom: float, seed: int, count: int) -> str:
    """Short lying strands of mat, cut lengthwise."""
    rng, drawn = Random(seed), []
    for _ in range(count):
        x, y = rng.uniform(left + 2, right - 26), rng.uniform(top + 3, bottom - 3)
        bend = rng.uniform(-2.5, 2.5)
        drawn.append(curve([(x, y), (x + 11, y + bend), (x + 22, y - bend * 0.4)], "fibre"))
    return "".join(drawn)


def sound_face() -> str:
    """The plain good face: gel coat with a slant of light on it."""
    left, top, right, bottom = FACE
    light = path([(40, top), (84, top), (36, bottom), (left, bottom), (left, 84)], "gloss", True)
    glint = path([(98, top), (108, top), (60, bottom), (50, bottom)], "gloss", True)
    return box(left, top, right, bottom, "gel", 8) + light + glint


def raw_back() -> str:
    """The air side of a part: resin over lying strands."""
    left, top, right, bottom = FACE
    return box(left, top, right, bottom, "lam", 8) + fibres(left, right, top, bottom, 5, 46)


def mould(top: float = MOULD) -> str:
    lines = "".join(path([(x, FLOOR), (x + 14, top + 2)], "hatch") for x in range(0, WIDTH, 14))
    return box(4, top, 236, FLOOR, "mould") + f'<g clip-path="url(#cut)">{lines}</g>'


def plies(left: float = 4, right: float = 236, top: float = BACK, bottom: float = GEL) -> str:
    """The laminate over the gel coat: a skin ply below, the bulk above."""
    split = max(top, min(bottom, SKIN))
    return (
        box(left, top, right, split, "lam")
        + box(left, split, right, bottom, "skin")
        + fibres(left, right, top, bottom, 3, 26)
    )


def gelcoat(left: float = 4, right: float = 236, css: str = "gel") -> str:
    return box(left, GEL, right, MOULD, css)


def sound_cut() -> str:
    """The plain good cross-section, still in its mould."""
    return mould() + plies() + gelcoat() + path([(4, MOULD), (236, MOULD)], "release")


def sheet(face: str, cut: str, title: str) -> str:
    """The whole drawing as one SVG text; `title` must be plain words, it is put in as it is."""
    left, top, right, bottom = FACE
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img">'
        f"<title>{title}</title><style>{STYLE}</style><defs>"
        f'<clipPath id="face">{box(left, top, right, bottom, "gel", 8)}</clipPath>'
        f'<clipPath id="cut">{box(4, 118, 236, FLOOR, "gel")}</clipPath></defs>'
        f'<g clip-path="url(#face)">{face}</g>{cut}</svg>'
    )
