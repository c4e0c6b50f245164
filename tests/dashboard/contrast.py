"""Contrast of two colours, and the colours of the style sheet."""

from __future__ import annotations

import re
from pathlib import Path

STYLES = Path(__file__).parents[2] / "dashboard" / "assets" / "laylog.css"


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours "#rrggbb", 1 to 21.

    Source: WCAG 2.2, definitions of relative luminance and contrast ratio.
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def palette(scheme: str) -> dict[str, str]:
    """The colours named in the style sheet, for a light or a dark screen."""
    text = STYLES.read_text(encoding="utf-8")
    light, dark = text.split("@media (prefers-color-scheme: dark)", 1)
    named = dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", light))
    if scheme == "dark":
        block = dark.split("* { box-sizing", 1)[0]
        named |= dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", block))
    return named
