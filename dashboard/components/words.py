"""Numbers and dates in the words the screens use."""

from __future__ import annotations


def in_hundred(chance: float) -> str:
    """A chance or share [0..1] as cases in 100."""
    if 0 < chance < 0.005:
        return "under 1 in 100"
    if 0.995 <= chance < 1:
        return "over 99 in 100"
    return f"{chance * 100:.0f} in 100"


def could_be(low: float | None, high: float | None) -> str:
    """An interval of chances [0..1] in words; empty where there is none."""
    if low is None or high is None:
        return ""
    return f"could be {low * 100:.0f} to {high * 100:.0f}"


def percent(share: float) -> str:
    """A chance or share [0..1] as a CSS percentage."""
    return f"{min(max(share, 0.0), 1.0) * 100:.1f}%"


def number(value: float, decimals: int = 2) -> str:
    """A number without trailing noughts."""
    return f"{value:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{value:.0f}"


def minutes(value: float) -> str:
    """Minutes, whole from 10 up."""
    return f"{value:.0f} min" if value >= 10 else f"{number(value, 1)} min"


def plural(count: int, one: str, many: str | None = None) -> str:
    """So many of something: 1 part, 2 parts."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def sentence(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]
