"""Every pair of ink and ground in the style sheet can be read, on light screens and dark."""

from __future__ import annotations

import pytest

from tests.dashboard.contrast import STYLES, contrast, palette

TEXT = [
    ("ink", "ground"),
    ("ink", "sheet"),
    ("soft", "ground"),
    ("soft", "sheet"),
    ("link", "ground"),
    ("link", "sheet"),
    ("on-petrol", "petrol"),
    ("on-petrol-soft", "petrol"),
    ("on-act", "act"),
    ("doubt-ink", "doubt"),
    ("stop-ink", "stop"),
]
SHAPES = [
    ("edge", "ground"),
    ("edge", "sheet"),
    ("fill", "sheet"),
    ("focus", "ground"),
    ("focus", "sheet"),
    ("act", "ground"),
    ("doubt-edge", "sheet"),
    ("stop-edge", "stop"),
]


def test_contrast_of_black_on_white_is_21() -> None:
    # WCAG 2.2, definition of contrast ratio: 21:1 for black on white
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    # the grey that just passes on white is published as #767676, 4.54:1
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), TEXT)
def test_text_can_be_read(scheme: str, ink: str, ground: str) -> None:
    colours = palette(scheme)
    assert contrast(colours[ink], colours[ground]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("shape", "ground"), SHAPES)
def test_shapes_can_be_seen(scheme: str, shape: str, ground: str) -> None:
    colours = palette(scheme)
    assert contrast(colours[shape], colours[ground]) >= 3.0


def test_style_sheet_loads_nothing() -> None:
    text = STYLES.read_text(encoding="utf-8")
    assert "@import" not in text
    assert "url(" not in text
    assert "@font-face" not in text


def test_paper_leaves_out_what_cannot_be_pressed() -> None:
    paper = STYLES.read_text(encoding="utf-8").partition("@media print")[2]
    for pressed in (".top nav", ".screen-only", ".form", ".drop"):
        assert pressed in paper
    assert ".dose .cautions" in paper
