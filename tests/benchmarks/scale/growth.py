"""How each step's seconds grow with the log: a verdict, and a plot on log scales."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from itertools import pairwise
from math import log, log10

TOO_SHORT = 0.1
"""Seconds below which a step's growth is not judged: starting up hides it."""
LEEWAY = 1.3
"""How many times n log n a step may grow: what one run differs from the next."""

_WIDE, _HIGH, _LEFT, _TOP, _RIGHT, _BOTTOM = 760, 420, 60, 20, 230, 50
_COLOURS = ("#0b6e99", "#888888", "#b5651d", "#2e8540", "#7a3e9d", "#c0392b", "#555555", "#8a7a00")
Points = Mapping[str, Sequence[tuple[int, float]]]
"""By step, pairs of parts in the log and seconds, smallest log first."""


def growth(smaller: tuple[int, float], larger: tuple[int, float]) -> float:
    """How much more seconds grew than n log n did, as a multiple: at most 1 is as fast or slower
    growth."""
    (few, before), (many, after) = smaller, larger
    return (after / before) / (many * log(many) / (few * log(few)))


def too_steep(points: Points) -> list[str]:
    """The steps that grew faster than n log n between two sizes, with how much faster."""
    return [
        f"{step}, {pair[0][0]} to {pair[1][0]} parts: {grown:.2f} x n log n"
        for step, found in points.items()
        for pair in pairwise(found)
        if pair[0][1] >= TOO_SHORT and (grown := growth(*pair)) > LEEWAY
    ]


def as_svg(points: Points) -> str:
    """Seconds against parts, a line for each step and one for n log n, as an SVG picture."""
    sizes = sorted({n for found in points.values() for n, _ in found})
    seconds = [s for found in points.values() for _, s in found]
    low, high = log10(min(seconds)) - 0.1, log10(max(seconds)) + 0.1
    first, last = log10(sizes[0]), log10(sizes[-1])

    def at(parts: float, spent: float) -> tuple[float, float]:
        along = (log10(parts) - first) / (last - first or 1)
        up = (log10(spent) - low) / (high - low)
        wide, tall = _WIDE - _LEFT - _RIGHT, _HIGH - _TOP - _BOTTOM
        return _LEFT + along * wide, _TOP + (1 - up) * tall

    fair = [(n, 10**low * 1.3 * n * log(n) / (sizes[0] * log(sizes[0]))) for n in sizes]
    drawn = [_axes(sizes, low, high, at)]
    fair = [(n, s) for n, s in fair if log10(s) <= high]
    drawn.append(_line([at(*p) for p in fair], "#aaaaaa", "n log n", dashed=True))
    ends = _apart([at(*found[-1])[1] for found in points.values()])
    for number, (step, found) in enumerate(points.items()):
        places = [at(*point) for point in found]
        colour = _COLOURS[number % len(_COLOURS)]
        drawn.append(_line(places, colour, step, label_at=ends[number]))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_HIGH}"'
        ' font-family="sans-serif" font-size="12"><rect width="100%" height="100%" fill="white"/>'
        + "".join(drawn)
        + "</svg>\n"
    )


def _apart(heights: Sequence[float]) -> list[float]:
    """Heights of labels, moved down where two would stand on each other."""
    order = sorted(range(len(heights)), key=lambda i: heights[i])
    placed = list(heights)
    for before, after in pairwise(order):
        placed[after] = max(placed[after], placed[before] + 15)
    return placed


def _line(
    places: Sequence[tuple[float, float]],
    colour: str,
    name: str,
    *,
    dashed: bool = False,
    label_at: float | None = None,
) -> str:
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    dash = ' stroke-dasharray="5 4"' if dashed else ""
    x, y = places[-1]
    return (
        f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="2"{dash}/>'
        + "".join(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="{colour}"/>' for x, y in places)
        + f'<text x="{x + 10:.1f}" y="{(y if label_at is None else label_at) + 4:.1f}"'
        f' fill="{colour}">{escape(name)}</text>'
    )


def _axes(sizes: Sequence[int], low: float, high: float, at: object) -> str:
    assert callable(at)
    drawn = []
    for power in range(int(low) - 1, int(high) + 1):
        if low <= power <= high:
            x, y = at(sizes[0], 10.0**power)
            drawn.append(
                f'<line x1="{x}" x2="{_WIDE - _RIGHT}" y1="{y:.1f}" y2="{y:.1f}" stroke="#dddddd"/>'
                f'<text x="{x - 8}" y="{y + 4:.1f}" text-anchor="end">{10.0**power:g} s</text>'
            )
    for parts in sizes:
        x, _ = at(parts, 10**low)
        drawn.append(
            f'<text x="{x:.1f}" y="{_HIGH - _BOTTOM + 20}" text-anchor="middle">{parts:,}</text>'
        )
    middle = _LEFT + (_WIDE - _LEFT - _RIGHT) / 2
    drawn.append(
        f'<text x="{middle}" y="{_HIGH - 10}" text-anchor="middle">parts in the log</text>'
    )
    return "".join(drawn)
