"""Pictures for paper as inline SVG: bars of the days with their weather, a row with its limits.

Drawn here and not by the charts of the screen, which need a script to be drawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from analytics.month.answer import Chart, Day

GOOD, FAULTY, UNKNOWN, INK, RULE = "#2f8ba0", "#c8641b", "#c3cbcd", "#2b3639", "#9aa6a9"
WIDE, LEFT, RIGHT = 680, 34, 34
DAYS_HIGH, WEATHER_HIGH = 120, 66


def _svg(high: float, label: str, body: Iterable[str]) -> str:
    return (
        f'<svg viewBox="0 0 {WIDE} {high:.0f}" role="img" aria-label="{escape(label, quote=True)}">'
        f"{''.join(body)}</svg>"
    )


def _text(x: float, y: float, words: str, anchor: str = "middle", size: int = 10) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size}" '
        f'fill="{INK}">{escape(words)}</text>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, dash: str = "", colour: str = RULE) -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" '
        f'stroke="{colour}" stroke-width="1"{dashed}/>'
    )


def _box(x: float, y: float, wide: float, high: float, colour: str, hatch: bool = False) -> str:
    fill = "url(#hatch)" if hatch else colour
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}" fill="{fill}" '
        f'stroke="{colour}" stroke-width="0.8"/>'
    )


HATCH = (
    '<defs><pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate(45)"><rect width="5" height="5" fill="{FAULTY}"/>'
    '<line x1="0" y1="0" x2="0" y2="5" stroke="#fff" stroke-width="2"/></pattern></defs>'
)


def days_picture(days: Sequence[Day]) -> str:
    """Parts of each day, good below, faulty hatched, unknown pale; the air's range beneath."""
    most = max((day.parts for day in days), default=1)
    slot = (WIDE - LEFT - RIGHT) / 31
    unit = (DAYS_HIGH - 20) / max(most, 1)
    body = [HATCH, _text(LEFT - 6, 14, str(most), "end"), _text(LEFT - 6, DAYS_HIGH, "0", "end")]
    body.append(_line(LEFT, DAYS_HIGH, WIDE - RIGHT, DAYS_HIGH))
    for day in days:
        x, top = LEFT + (day.date.day - 1) * slot + 2, float(DAYS_HIGH)
        for count, colour, hatch in (
            (day.good, GOOD, False), (day.faulty, FAULTY, True), (day.unknown, UNKNOWN, False)
        ):  # fmt: skip
            if count:
                top -= count * unit
                body.append(_box(x, top, slot - 4, count * unit, colour, hatch))
        body.append(_text(x + slot / 2 - 2, DAYS_HIGH + 12, str(day.date.day), size=9))
    body.extend(_air(days, slot))
    high = DAYS_HIGH + 22 + (WEATHER_HIGH if _has_air(days) else 0)
    return _svg(high, "Parts made on each day, with the air temperature", body)


def _has_air(days: Sequence[Day]) -> bool:
    return any(day.air_low_c is not None for day in days)


def _air(days: Sequence[Day], slot: float) -> Iterable[str]:
    told = [
        (day, day.air_low_c, day.air_high_c)
        for day in days
        if day.air_low_c is not None and day.air_high_c is not None
    ]
    if not told:
        return
    least, most = min(low for _, low, _ in told), max(high for *_, high in told)
    top, bottom = DAYS_HIGH + 26, DAYS_HIGH + 14 + WEATHER_HIGH
    unit = (bottom - top) / max(most - least, 1.0)
    yield _text(LEFT - 4, top + 8, f"{most:.0f} °C", "end", 9)
    yield _text(LEFT - 4, bottom, f"{least:.0f} °C", "end", 9)
    for day, low, high in told:
        x = LEFT + (day.date.day - 1) * slot + slot / 2
        y = bottom - (high - least) * unit
        yield _box(x - 2.5, y, 5, max((high - low) * unit, 1.5), INK)


def share_picture(chart: Chart) -> str:
    """Faulty parts by month with the limits that luck alone stays within."""
    told = [point for point in chart.points if point.faulty.share is not None]
    if len(told) < 2:
        return ""
    top = max(
        [point.faulty.share or 0.0 for point in told]
        + [point.high or 0.0 for point in told]
        + [0.1]
    )
    high, base = 150, 124
    step = (WIDE - LEFT - RIGHT) / max(len(told) - 1, 1)

    def place(at: int, share: float) -> tuple[float, float]:
        return LEFT + at * step, base - share / top * (base - 12)

    body = [_line(LEFT, base, WIDE - RIGHT, base), _text(LEFT - 6, base, "0", "end"),
            _text(LEFT - 6, 18, f"{100 * top:.0f} %", "end")]  # fmt: skip
    body.extend(_limits(chart, [place(at, 0.0)[0] for at in range(len(told))], top, base))
    dots = [place(at, point.faulty.share or 0.0) for at, point in enumerate(told)]
    track = " ".join(f"{x:.1f},{y:.1f}" for x, y in dots)
    body.append(f'<polyline points="{track}" fill="none" stroke="{INK}" stroke-width="1.2"/>')
    for (x, y), point in zip(dots, told, strict=True):
        body.append(_dot(x, y, point.beyond))
    every = max(1, len(told) // 6)
    body.extend(
        _text(place(at, 0)[0], base + 14, told[at].month, size=9)
        for at in range(0, len(told), every)
    )
    return _svg(high, "Faulty parts by month", body)


def _limits(chart: Chart, places: Sequence[float], top: float, base: float) -> Iterable[str]:
    told = [point for point in chart.points if point.faulty.share is not None]
    if chart.centre is None:
        return
    y = base - chart.centre / top * (base - 12)
    yield _line(places[0], y, places[-1], y, "6 4", GOOD)
    for pick in (lambda p: p.high, lambda p: p.low or None):
        held = [(x, pick(point)) for x, point in zip(places, told, strict=True)]
        row = " ".join(
            f"{x:.1f},{base - value / top * (base - 12):.1f}" for x, value in held if value
        )
        if row:
            yield f'<polyline points="{row}" fill="none" stroke="{RULE}" stroke-dasharray="2 3"/>'


def _dot(x: float, y: float, beyond: bool) -> str:
    if beyond:
        return f'<path d="M{x:.1f} {y - 6:.1f}l6 6l-6 6l-6 -6z" fill="{FAULTY}"/>'
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.4" fill="{GOOD}"/>'
