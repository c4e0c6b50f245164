"""TOML files of trade knowledge as plain tables, and mistakes in them told with their lines."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from analytics.errors import FileError, KnowledgeError

Tables = dict[str, dict[str, dict[str, Any]]]
KeyPath = tuple[str | int, ...]

DATA = Path(__file__).parent / "data"
# the section each file of the data folder holds; in defects/ and causes/ every file is one entry
FILES = {
    "sources": "source",
    "checks": "check",
    "limits": "limit",
    "cautions": "caution",
    "gel_time": "constant",
    "plan_times": "plan",
    "strength": "strength",
    "chains": "chain",
    "columns": "columns",
}
# files whose tables name their own section; guards among them are no kind a shop's file may set
MIXED = ("together", "questions")
FOLDERS = {"defects": "defect", "causes": "cause"}
SECTIONS = ("source", "defect", "cause", "check", "limit", "caution", "constant", "strength",
            "observation", "rule", "chain", "plan", "question",
            "settling")  # fmt: skip

_HEADER = re.compile(r"\s*(\[\[?)([^\[\]]+)\]")
_ASSIGNMENT = re.compile(r"\s*([A-Za-z0-9_.\"'-]+)\s*=")


@dataclass(frozen=True)
class TomlFile:
    """One file as read: its name for messages, its text, and the path its top level stands for."""

    name: str
    text: str
    prefix: KeyPath = ()

    def parsed(self) -> dict[str, Any]:
        """The whole file as tables. Raises KnowledgeError with the line where TOML breaks."""
        try:
            return tomllib.loads(self.text)
        except tomllib.TOMLDecodeError as error:
            raise KnowledgeError(f"{self.name} cannot be read as TOML: {error}.") from None

    def line_of(self, path: KeyPath) -> tuple[int, int | None]:
        """How many keys of `path` this file sets, and the line (from 1) that sets the last."""
        if path[: len(self.prefix)] != self.prefix:
            return 0, None
        wanted = path[len(self.prefix) :]
        best: tuple[int, int | None] = (0, None)
        for number, here in _key_lines(self.text):
            shared = min(len(here), len(wanted))
            if shared > best[0] and wanted[:shared] == here[:shared]:
                best = (shared, number)
        return best[0] + len(self.prefix), best[1]


def _key_lines(text: str) -> Iterable[tuple[int, KeyPath]]:
    header: KeyPath = ()
    seen: Counter[KeyPath] = Counter()
    for number, line in enumerate(text.splitlines(), start=1):
        if found := _HEADER.match(line):
            header = _keys(found[2])
            if found[1] == "[[":
                seen[header] += 1
                header = (*header, seen[header] - 1)
            yield number, header
        elif found := _ASSIGNMENT.match(line):
            yield number, (*header, *_keys(found[1]))


def _keys(dotted: str) -> KeyPath:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


@dataclass
class Mistakes:
    """Everything found wrong so far; `files` newest first, to tell where each thing stands."""

    files: tuple[TomlFile, ...]
    found: list[tuple[KeyPath, str]] = field(default_factory=list)

    def add(self, path: KeyPath, reason: str, *others: KeyPath) -> None:
        """Notes a mistake at `path`, or at the one of `others` the newest file has more of."""
        newest = self.files[0]
        nearest = max((path, *others), key=lambda known: newest.line_of(known)[0])
        self.found.append((nearest, reason))

    def raise_any(self) -> None:
        """Raises one KnowledgeError that lists every mistake; does nothing where there is none."""
        if not self.found:
            return
        lines = [self._line(path, reason) for path, reason in self.found]
        count = "1 mistake" if len(lines) == 1 else f"{len(lines)} mistakes"
        listed = "\n".join(f"  {line}" for line in lines)
        raise KnowledgeError(f"{count} in the trade knowledge, nothing was loaded:\n{listed}")

    def _line(self, path: KeyPath, reason: str) -> str:
        matches = [(file.line_of(path), file) for file in self.files]
        own = [match for match in matches if match[0][0] >= min(2, len(path))]
        (_, line), file = own[0] if own else matches[0]
        where = f"{file.name}, line {line}" if line else file.name
        return f"{where}: {_in_words(path)}: {reason}"


def _in_words(path: KeyPath) -> str:
    """`cause too-cold, evidence 2, none`, list positions counted from 1."""
    words: list[str] = []
    for key in path:
        if isinstance(key, int):
            words[-1] += f" {key + 1}"
        else:
            words.append(key)
    return ", ".join([" ".join(words[:2]), *words[2:]])


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """` Did you mean "x"?` for the nearest known word, else what there is to choose from."""
    choices = sorted(known)
    near = get_close_matches(word, choices, n=1, cutoff=0.6)
    if near:
        return f' Did you mean "{near[0]}"?'
    return f" Known: {', '.join(choices)}." if len(choices) <= 12 else ""


def built_in_tables() -> tuple[Tables, tuple[TomlFile, ...]]:
    """The tables of the data folder by section and id, and the files they were read from."""
    tables: Tables = {section: {} for section in SECTIONS}
    files = []
    for stem, section in FILES.items():
        file = _data_file(DATA / f"{stem}.toml", (section,))
        tables[section] = file.parsed()
        files.append(file)
    for folder, section in FOLDERS.items():
        for path in sorted((DATA / folder).glob("*.toml")):
            file = _data_file(path, (section, path.stem))
            tables[section][path.stem] = file.parsed()
            files.append(file)
    for stem in MIXED:
        file = _data_file(DATA / f"{stem}.toml", ())
        tables.update(file.parsed())
        files.append(file)
    return tables, tuple(files)


def _data_file(path: Path, prefix: KeyPath) -> TomlFile:
    return TomlFile(str(path.relative_to(DATA.parent)), path.read_text("utf-8"), prefix)


def read_shop_file(path: Path) -> TomlFile:
    """A shop's own knowledge file. Raises FileError where it cannot be read as text."""
    try:
        # notepad and its like put a byte-order mark first, which TOML does not allow
        return TomlFile(path.name, path.read_text("utf-8-sig"))
    except FileNotFoundError:
        raise FileError(f"{path} is not there; check the name of the knowledge file.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise FileError(f"{path} cannot be read as text: {error}.") from None


def with_shop(base: Tables, shop: TomlFile, mistakes: Mistakes) -> Tables:
    """`base` with the shop's entries added and its fields put over those of the same id."""
    merged = {section: dict(entries) for section, entries in base.items()}
    for section, entries in shop.parsed().items():
        if section not in SECTIONS:
            reason = f"no such kind of entry.{did_you_mean(section, SECTIONS)}"
            mistakes.add((section,), reason)
        elif not isinstance(entries, dict):
            mistakes.add((section,), f"must be a table, such as [{section}.some-name]")
        else:
            _put_over(merged[section], entries, section, mistakes)
    return merged


def _put_over(
    known: dict[str, dict[str, Any]], entries: Mapping[str, Any], section: str, mistakes: Mistakes
) -> None:
    for name, entry in entries.items():
        if not isinstance(entry, dict):
            mistakes.add((section, name), f"must be a table: [{section}.{name}]")
            continue
        # figures a shop sets are its own; a wording changed in a cause is still the trade's cause
        if name not in known or section in ("limit", "constant", "plan"):
            entry = {"source": "shop", **entry}
        for piece in entry.get("evidence", ()):
            if isinstance(piece, dict):
                piece.setdefault("source", "shop")
        known[name] = _field_by_field(known.get(name, {}), entry)


def _field_by_field(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """`old` with the fields of `new`; tables merge and spellings and phrases are added to."""
    merged = dict(old)
    for key, value in new.items():
        before = merged.get(key)
        if isinstance(before, dict) and isinstance(value, dict):
            merged[key] = {**before, **value}
        elif key in ("words", "said") and isinstance(before, list) and isinstance(value, list):
            merged[key] = [*before, *(word for word in value if word not in before)]
        else:
            merged[key] = value
    return merged
