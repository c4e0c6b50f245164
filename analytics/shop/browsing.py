"""Looking through the log: parts found, one record with its history, tables for other programs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.records.store.tables import BY_HAND
from analytics.shop.base import OpenShop

if TYPE_CHECKING:
    import pandas as pd

    from analytics.records.store import Correction, Current

MIX_ROLES = ("gelcoat", "resin")


@dataclass(frozen=True)
class FoundPart:
    """A part in a list: texts, empty where nobody wrote it; `faults` are the words as written."""

    part_id: str
    date: str
    mould_id: str
    outcome: str
    faults: str


@dataclass(frozen=True)
class Choices:
    """What the parts can be filtered by: moulds, months (latest first) and (fault, title) seen."""

    moulds: tuple[str, ...]
    months: tuple[str, ...]
    faults: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Past:
    """A value a field had before: `typed` is its cell, `by` the file or hand that changed it."""

    at: datetime
    old: str | None
    new: str | None
    typed: str | None
    by: str
    import_id: int


@dataclass(frozen=True)
class Shown:
    """One field of a record as it stands: `value` as the history writes it, None for unknown.

    `unit` is the field's own; `choices` are what a choice can be; `typed` is the cell as typed.
    """

    field: str
    name: str
    meaning: str
    kind: str
    unit: str | None
    choices: tuple[str, ...]
    value: str | None
    typed: str | None
    past: tuple[Past, ...]


@dataclass(frozen=True)
class OneRecord:
    """One record: its fields in the dictionary's order, where it came from, cells not used."""

    record: str
    key: str
    fields: tuple[Shown, ...]
    file: str
    sheet: str
    row: int | None
    unplaced: tuple[tuple[str, str], ...]


class Browsing(OpenShop):
    """The log as it is: nothing is worked out, everything can be followed to its cell."""

    def browse(
        self, text: str = "", *, mould: str = "", month: str = "", fault: str = "", limit: int = 50
    ) -> tuple[tuple[FoundPart, ...], int]:
        """Parts that fit every filter, newest first, at most `limit`; and how many fit.

        `text` is looked for in number, day, mould, result, faults, person and notes; `month` is
        "2024-03", `fault` a knowledge id.
        """
        jobs = self._searched()
        fits = jobs["all"].str.contains(text.strip().casefold(), regex=False)
        if mould:
            fits &= jobs["mould_id"] == mould
        if month:
            fits &= jobs["date"].str.startswith(month)
        if fault:
            faults = self.defects()
            fits &= jobs["part_id"].isin(faults.loc[faults["defect"] == fault, "part_id"])
        found = jobs.loc[fits, ["part_id", "date", "mould_id", "outcome", "defects"]]
        rows = found.head(limit).itertuples(index=False, name=None)
        return tuple(FoundPart(*row) for row in rows), len(found)

    def _searched(self) -> pd.DataFrame:
        """The parts as texts, newest first, with everything to look in in one column."""

        def make() -> pd.DataFrame:
            shown = ["part_id", "date", "mould_id", "outcome", "defects", "operator", "notes"]
            jobs = self.jobs()[shown].iloc[::-1]
            jobs = jobs.assign(date=jobs["date"].dt.strftime("%Y-%m-%d"))
            jobs = jobs.astype("str").fillna("")
            together = jobs["part_id"]
            for name in shown[1:]:
                together = together + "\n" + jobs[name]
            return jobs.assign(all=together.str.casefold())

        searched: pd.DataFrame = self._worked_out("parts as text", make)
        return searched

    def browse_choices(self) -> Choices:
        """What there is to filter by."""
        jobs, seen = self.jobs(), self.defects()["defect"].value_counts()
        known = [d for d in seen.index if d in self.knowledge.defects]
        return Choices(
            tuple(sorted(jobs["mould_id"].dropna().unique())),
            tuple(sorted(jobs["month"].dropna().unique(), reverse=True)),
            tuple((d, self.knowledge.defects[d].title) for d in known),
        )

    def one_record(self, record: str, key: str) -> OneRecord:
        """One record with its history. Raises QuestionError where the log has none of that key."""
        from analytics.records.fields import KEYS, dictionary

        found = self.store.current(record, key)
        if found is None:
            raise QuestionError(f'the log has no {record} "{key}". Look it up in the list.')
        past = self.store.history(record, key)
        files = {done.id: done.file for done in self.store.imports()} if past else {}
        fields = [
            Shown(
                f.id, f.name, f.meaning, f.kind, f.unit, tuple(f.choices), found.texts[f.id],
                found.typed(f.id), tuple(_past(c, files) for c in past if c.field == f.id),
            )
            for f in dictionary().of(record)
            if f.id not in (KEYS[record], "logger_id")
        ]  # fmt: skip
        return _with_origin(record, key, tuple(fields), found)

    def part_records(self, part_id: str) -> tuple[OneRecord, ...]:
        """A part and the mixes it was made with. Raises QuestionError for an unknown part."""
        part = self.one_record("part", part_id)
        values = {shown.field: shown.value for shown in part.fields}
        keys = [values[f"{role}_batch_id"] for role in MIX_ROLES]
        known = [key for key in keys if key and self.store.current("batch", key) is not None]
        return (part, *(self.one_record("batch", key) for key in dict.fromkeys(known)))

    def export(self, table: str, kind: str) -> bytes:
        """One table (parts, mixes, lots, moulds, logger, faults) as csv, xlsx or parquet."""
        from analytics.export import as_bytes

        return as_bytes(self.log(), table, kind)

    def export_to(self, path: str | Path, table: str, *, replace: bool = False) -> list[Path]:
        """The file written, by its ending; every table where `path` is a folder or a workbook."""
        from analytics.export import FORMATS, export_file, export_folder

        if not str(path).strip():
            raise QuestionError("say which file or folder to write to.")
        where = Path(path)
        if where.suffix.lower().removeprefix(".") in FORMATS:
            return export_file(self.log(), where, table, replace=replace)
        if where.suffix and not where.is_dir():
            raise QuestionError(
                f"{where} ends in {where.suffix}: laylog writes .csv, .xlsx and .parquet files, or "
                "every table into a folder."
            )
        return export_folder(self.log(), where, table, replace=replace)


def _past(change: Correction, files: dict[int, str]) -> Past:
    by = files.get(change.import_id, "")
    who = "by hand" if by.startswith(BY_HAND) else by
    return Past(change.changed_at, change.old, change.new, change.old_raw, who, change.import_id)


def _with_origin(record: str, key: str, fields: Sequence[Shown], found: Current) -> OneRecord:
    origin: dict[str, Any] = json.loads(found.origin)
    other = found.raw.get("other", {})
    return OneRecord(
        record,
        key,
        tuple(fields),
        origin["file"] or "",
        origin["sheet"] or "",
        origin["row"],
        tuple((heading, str(text)) for heading, text in other.items()),
    )
