"""One table of a knowledge file, read key by key; what is wrong with it is noted, not raised."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from math import nan
from typing import Any, TypeVar

from analytics.knowledge.reading import KeyPath, Mistakes, did_you_mean

Value = TypeVar("Value")


class Entry:
    """A table being read: each getter gives the value of a key and notes what is wrong with it.

    A getter whose value is missing or of the wrong kind gives an empty one (NaN for a number), so
    that reading goes on and all mistakes are found at once.
    """

    def __init__(self, raw: Mapping[str, Any], path: KeyPath, mistakes: Mistakes) -> None:
        self.raw = raw
        self.path = path
        self.mistakes = mistakes
        self.asked: set[str] = set()

    def wrong(self, key: str, reason: str) -> None:
        self.mistakes.add((*self.path, key), reason)

    def value(
        self, key: str, kinds: tuple[type, ...], wanted: str, instead: Value, needed: bool
    ) -> Any:
        self.asked.add(key)
        if key not in self.raw:
            if needed:
                self.wrong(key, f"is missing; {wanted} is needed")
            return instead
        value = self.raw[key]
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            self.wrong(key, f"is {value!r}, but {wanted} is needed")
            return instead
        return value

    def text(self, key: str) -> str:
        value = str(self.value(key, (str,), "a text", "", True))
        if key in self.raw and isinstance(self.raw[key], str) and not value.strip():
            self.wrong(key, "is empty")
        return value

    def text_or_none(self, key: str) -> str | None:
        found = self.value(key, (str,), "a text", None, False)
        return None if found is None else str(found)

    def number(self, key: str) -> float:
        return float(self.value(key, (int, float), "a number", nan, True))

    def number_or_none(self, key: str) -> float | None:
        found = self.value(key, (int, float), "a number", None, False)
        return None if found is None else float(found)

    def texts(self, key: str, least: int = 0) -> tuple[str, ...]:
        found = self.value(key, (list,), "a list of texts", [], least > 0)
        if any(not isinstance(item, str) for item in found):
            self.wrong(key, "must be a list of texts only")
        if isinstance(self.raw.get(key), list) and len(found) < least:
            self.wrong(key, "is empty")
        return tuple(item for item in found if isinstance(item, str))

    def numbers(self, key: str, count: int) -> tuple[float, ...]:
        found = self.value(key, (list,), f"a list of {count} numbers", [0.0] * count, True)
        if len(found) != count or any(not isinstance(x, int | float) for x in found):
            self.wrong(key, f"must be a list of {count} numbers")
            return (0.0,) * count
        return tuple(float(x) for x in found)

    def choice(self, key: str, allowed: Collection[str], usual: str | None = None) -> str:
        value = self.value(key, (str,), "a text", usual or next(iter(allowed)), usual is None)
        if value not in allowed:
            self.wrong(key, f'is "{value}".{did_you_mean(value, allowed)}')
        return str(value)

    def by_id(self, key: str, kinds: tuple[type, ...], wanted: str) -> dict[str, Any]:
        table: Mapping[str, Any] = self.value(key, (dict,), "a table", {}, False)
        inner = Entry(table, (*self.path, key), self.mistakes)
        checked = {name: inner.value(name, kinds, wanted, None, True) for name in table}
        return {name: value for name, value in checked.items() if value is not None}

    def finish(self) -> None:
        """Notes every key nobody asked for."""
        for key in self.raw:
            if key not in self.asked:
                self.wrong(key, f"no such field.{did_you_mean(key, self.asked)}")
