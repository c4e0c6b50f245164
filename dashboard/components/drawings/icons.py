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


def _plan() -> str:
    return (
        circle(32, 34, 25, "film")
        + path([(32, 34), (32, 9), (45, 13), (54, 23), (57, 34)], "sheet", True)
        + circle(32, 34, 25, "line")
        + path([(32, 18), (32, 34), (46, 42)], "line")
        + path([(26, 3), (38, 3)], "line")
    )


def _settle() -> str:
    return (
        path([(4, 36), (12, 46), (20, 46), (28, 36)], "warm", True)
        + path([(36, 30), (44, 40), (52, 40), (60, 30)], "film", True)
        + path([(16, 18), (4, 36), (12, 46), (20, 46), (28, 36), (16, 18)], "line")
        + path([(48, 12), (36, 30), (44, 40), (52, 40), (60, 30), (48, 12)], "line")
        + path([(12, 19), (52, 11)], "line")
        + path([(32, 8), (32, 58)], "line")
        + path([(20, 59), (44, 59)], "line")
    )


def _write() -> str:
    pencil = [(52, 6), (60, 14), (30, 46), (18, 50), (22, 38)]
    return (
        path(pencil, "sheet", True)
        + path([(22, 38), (30, 46), (18, 50)], "warm", True)
        + path([*pencil, pencil[0]], "line")
        + path([(6, 60), (56, 60)], "line")
        + path([(44, 14), (52, 22)], "line")
    )


ICONS: dict[str, str] = {
    "cause": _sign(_cause()),
    "month": _sign(_month()),
    "catalyst": _sign(_catalyst()),
    "records": _sign(_records()),
    "plan": _sign(_plan()),
    "settle": _sign(_settle()),
    "write": _sign(_write()),
}
