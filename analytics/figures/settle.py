"""Pictures of two ways compared, and of a trial under way."""

from __future__ import annotations

from typing import TYPE_CHECKING

import plotly.graph_objects as go

from analytics.figures.theme import FAULTY, GOOD, GRID, INK, figure, plain
from analytics.stats.anytime import SETTLED

if TYPE_CHECKING:
    from analytics.settling.answer import Comparison, Finding, MouldPair
    from analytics.settling.trial_answer import TrialLook

MOST_MOULDS = 12
LEAST_AXIS = 20.0


def two_ways(answer: Comparison, finding: Finding) -> go.Figure:
    """Share of faulty parts of both ways over the same conditions, with 95 % intervals.

    x: parts in 100 with the fault; y: the two ways, the first on top. A bar trace each.
    """
    found = finding.adjusted
    if found is None:
        raise ValueError("too few jobs to draw")
    title = f"{finding.title}: parts in 100, with the same {' and '.join(answer.held)}"
    drawn = figure(title, "parts in 100", "", height=230)
    sides = (
        (answer.b.said, found.share_b, found.b_low, found.b_high, FAULTY, "/"),
        (answer.a.said, found.share_a, found.a_low, found.a_high, GOOD, ""),
    )
    for said, share, low, high, colour, shape in sides:
        _way_bar(drawn, plain(said), share, (low, high), colour, shape)
    highs = (100 * found.a_high, 100 * found.b_high)
    drawn.update_xaxes(range=[0, max(LEAST_AXIS, *highs) * 1.05], showgrid=True)
    drawn.update_yaxes(type="category", ticks="", showgrid=False)
    return drawn


def _way_bar(
    drawn: go.Figure, said: str, share: float, ends: tuple[float, float], colour: str, shape: str
) -> None:
    low, high = ends
    drawn.add_bar(
        x=[100 * share],
        y=[said],
        name=said,
        orientation="h",
        width=0.5,
        marker={
            "color": colour,
            "pattern": {"shape": shape, "fgcolor": "#ffffff", "size": 7},
            "line": {"width": 0},
        },
        error_x={
            "type": "data",
            "symmetric": False,
            "array": [100 * (high - share)],
            "arrayminus": [100 * (share - low)],
            "color": INK,
            "thickness": 2.5,
            "width": 9,
        },
        hovertemplate=(
            f"%{{y}}: %{{x:.1f}} in 100, could be {100 * low:.0f} to {100 * high:.0f}"
            "<extra></extra>"
        ),
        showlegend=False,
    )


def by_mould(answer: Comparison, finding: Finding) -> go.Figure:
    """Both ways on each mould, joined: a line that slopes the same way everywhere is telling.

    x: parts in 100 with the fault; y: mould. Traces: joins, first way, second way. The larger
    the mark the more parts.
    """
    pairs = [p for p in finding.by_mould if p.a_parts and p.b_parts]
    pairs = sorted(pairs, key=lambda p: p.a_parts + p.b_parts, reverse=True)[:MOST_MOULDS][::-1]
    drawn = figure(
        _mould_title(pairs, answer), "parts in 100", "",
        height=130 + 44 * max(len(pairs), 2),
    )  # fmt: skip
    names = [plain(p.mould) for p in pairs]
    a = [100 * p.a_faults / p.a_parts for p in pairs]
    b = [100 * p.b_faults / p.b_parts for p in pairs]
    for name, left, right in zip(names, a, b, strict=True):
        drawn.add_scatter(
            x=[left, right], y=[name, name], mode="lines", hoverinfo="skip", showlegend=False,
            line={"color": GRID, "width": 6},
        )  # fmt: skip
    for said, shares, symbol, colour, counts in (
        (answer.a.said, a, "circle", GOOD, [(p.a_faults, p.a_parts) for p in pairs]),
        (answer.b.said, b, "diamond", FAULTY, [(p.b_faults, p.b_parts) for p in pairs]),
    ):
        drawn.add_scatter(
            x=shares, y=names, mode="markers", name=plain(said),
            marker={
                "symbol": symbol, "color": colour, "opacity": 1,
                "size": [min(26.0, 10.0 + parts**0.5) for _, parts in counts],
            },
            customdata=[f"{faults} of {parts} parts" for faults, parts in counts],
            hovertemplate="%{y}: %{customdata}<extra></extra>",
        )  # fmt: skip
    drawn.update_xaxes(range=[-2, max(LEAST_AXIS, *a, *b) * 1.08] if pairs else [0, 100])
    drawn.update_yaxes(type="category", ticks="")
    return drawn


def _mould_title(pairs: list[MouldPair], answer: Comparison) -> str:
    less = [p for p in pairs if p.a_faults * p.b_parts < p.b_faults * p.a_parts]
    more = [p for p in pairs if p.a_faults * p.b_parts > p.b_faults * p.a_parts]
    return (
        f"Fewer faults the first way ({answer.a.said}) on {len(less)} of {len(pairs)} moulds, "
        f"more on {len(more)}"
    )


def growth(look: TrialLook) -> go.Figure:
    """How the evidence of a trial grew, block by block, on the way to the line that settles it.

    x: finished blocks; y: evidence (20 settles), on a log axis. Traces: evidence, settled at.
    """
    title = (
        f"Evidence {look.stake:.1f} so far; {SETTLED:.0f} settles it"
        if look.growth
        else "No block of the trial is finished yet"
    )
    drawn = figure(title, "finished blocks", "evidence", height=240)
    blocks = list(range(len(look.growth) + 1))
    drawn.add_scatter(
        x=blocks, y=[1.0, *look.growth], mode="lines", name="evidence so far",
        line={"color": GOOD, "width": 3},
        hovertemplate="after %{x} blocks: %{y:.2g}<extra></extra>",
    )  # fmt: skip
    drawn.add_scatter(
        x=[0, max(len(blocks) - 1, 1)], y=[SETTLED, SETTLED], mode="lines", name="settled",
        line={"color": INK, "width": 2, "dash": "dash"}, hoverinfo="skip",
    )  # fmt: skip
    drawn.update_yaxes(type="log", tickvals=[0.1, 1, 5, 20, 100])
    return drawn
