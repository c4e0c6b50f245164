"""Signs for the questions, drawn in the same strokes as the faults."""

from __future__ import annotations

from dashboard.components.drawings.canvas import blob, box, circle, curve, path

STYLE = """
.line{stroke:#0d4a57;stroke-width:3.2;fill:none;stroke-linecap:round;stroke-linejoin:round}
.fill{fill:#0d4a57}.warm{fill:#d9962f}.film{fill:#9bcbd2}.sheet{fill:#e6cc98}
@media (prefers-color-scheme:dark){.line{stroke:#8fd3de}.fill{fill:#8fd3de}.film{fill:#2f7480}
.sheet{fill:#8d7647}.warm{fill:#e3ad54}}
"""


def _sign(body: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64"><style>{STYLE}</style>'
        f"{body}</svg>"
    )


def _cause() -> str:
    panel = path([(6, 44), (6, 16), (44, 16), (44, 44)], "film", True)
    return (
        panel
        + blob(24, 30, 9, 3, "sheet")
        + path([(6, 44), (6, 16), (44, 16)], "line")
        + circle(38, 38, 13, "line")
        + path([(48, 48), (58, 58)], "line")
    )


def _month() -> str:
    squares = [(12 + 14 * col, 20 + 13 * row) for row in range(3) for col in range(3)]
    drawn = "".join(
        box(x, y, x + 9, y + 9, "warm" if k in (4, 5) else "film", 2)
        for k, (x, y) in enumerate(squares)
    )
    return drawn + path([(6, 12), (58, 12), (58, 60), (6, 60)], "line", True)


def _catalyst() -> str:
    drop = curve([(32, 2), (41, 14), (32, 23), (23, 14), (32, 2), (41, 14)], "warm")
    pot = path([(10, 30), (15, 60), (49, 60), (54, 30)], "film", True)
    return (
        drop
        + pot
        + path([(8, 30), (56, 30)], "line")
        + path([(10, 30), (15, 60), (49, 60), (54, 30)], "line")
    )


def _records() -> str:
    rows = "".join(path([(18, y), (46, y)], "line") for y in (24, 36, 48))
    return (
        path([(10, 6), (44, 6), (54, 16), (54, 60), (10, 60)], "sheet", True)
        + path([(10, 6), (44, 6), (54, 16), (54, 60), (10, 60)], "line", True)
        + rows
    )


ICONS: dict[str, str] = {
    "cause": _sign(_cause()),
    "month": _sign(_month()),
    "catalyst": _sign(_catalyst()),
    "records": _sign(_records()),
}
