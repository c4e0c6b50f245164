"""What people write down by hand: a job, a mix, a cup test, a fault, a correction."""

from __future__ import annotations

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.knowledge.loading import defect_words
from analytics.records.store.tables import BY_HAND
from analytics.shop.base import OpenShop
from analytics.shop.keeping import ImportAnswer
from analytics.shop.understood import understood

if TYPE_CHECKING:
    import pandas as pd

    from analytics.records.problems import Problem
    from analytics.records.reading import ReadResult

HAND_KINDS = ("part", "batch", "lot", "mould", "logger")


@dataclass(frozen=True)
class Written(ImportAnswer):
    """An import of something typed by hand; `understood` is (field, as typed, as read) per cell.

    A cell that was not understood is read as None.
    """

    understood: tuple[tuple[str, str, str | None], ...] = ()


@dataclass(frozen=True)
class Corrected:
    """A value put right: `old` and `new` as the history writes them, None for unknown.

    `import_id` is what the correction goes by when it is taken back; None where the value stood
    so already.
    """

    record: str
    key: str
    field: str
    old: str | None
    new: str | None
    problems: tuple[Problem, ...]
    import_id: int | None


def _not_understood(typed: str, problems: Sequence[Problem]) -> str:
    expected = f" Expected: {problems[0].expected}." if problems else ""
    return f'"{typed.strip()}" could not be read.{expected} Nothing was changed.'


class Writing(OpenShop):
    """Records written by hand: read like a file of one row, kept in one transaction."""

    def write_down(self, kind: str, cells: Mapping[str, str], *, new: bool = False) -> Written:
        """What was understood of one record, and what the store took of it.

        `kind` is part, batch, lot, mould or logger; `cells` are texts as typed by field id, bare
        figures in the field's own unit. On a part "gelcoat.catalyst_pct" and the like tell of its
        mixes; on a mix "part_id" names the part it went into. A known record is filled in and
        corrected, with its history, unless `new`.

        Raises QuestionError where nothing says which record it is, StoreError where `new` and the
        log has it.
        """
        if kind not in HAND_KINDS:
            raise QuestionError(f'"{kind}" cannot be written down, only {", ".join(HAND_KINDS)}.')
        result = self._read_by_hand(self._rows(kind, cells))
        saved = self.store.write_down(result, now=self._now(), new=kind if new else None)
        return Written(result.files, saved, understood(result.tables))

    def write_fault(
        self,
        part_id: str,
        defect: str,
        severity: str = "",
        place: str = "",
        words: str = "",
    ) -> Written:
        """What was understood of a fault seen on a part the log has; earlier faults stay.

        `defect` is a knowledge id, or "" to read it from `words`; `severity` is slight, moderate,
        severe or "". The part's result becomes faulty where it was good or unknown.
        Raises QuestionError for an unknown part or fault.
        """
        from analytics.listing import part_called
        from analytics.records.by_hand import FAULT_WORDS
        from analytics.records.columns import FAULT_COLUMN
        from analytics.records.spellings import FAULT_PLACE

        part = part_called(self._known()["part"], part_id)
        if defect and defect not in self.knowledge.defects:
            raise QuestionError(f'no fault is called "{defect}".')
        if not defect and not words.strip():
            raise QuestionError("say which fault it is: pick one, or say it in your own words.")
        if defect:
            said = words.strip() or self.knowledge.defects[defect].title.lower()
            cells = {f"{FAULT_COLUMN}{defect}": severity or "yes", FAULT_WORDS: said}
        else:
            cells = {"defects": f"{words} {severity}".strip()}
        result = self._read_by_hand([("part", {"part_id": part, **cells, FAULT_PLACE: place})])
        saved = self.store.write_down(result, now=self._now(), more_faults=True)
        return Written(result.files, saved, understood(result.tables))

    def correct(self, record: str, key: str, field: str, typed: str, was: str | None) -> Corrected:
        """What was understood of a value typed in place of one that was wrong or missing.

        `typed` may carry a unit, and be empty for unknown; `was` is the value as it stood when
        looked at (see `current`), None for unknown. The value before stays in the history.

        Raises QuestionError where `typed` cannot be read, StoreError where somebody changed the
        value meanwhile.
        """
        from analytics.records.fields import KEYS
        from analytics.records.store import Correct
        from analytics.records.store.correcting import values_read

        if field in (KEYS.get(record), "logger_id"):
            raise QuestionError(
                "the number a record goes by cannot be changed; take the record back and write "
                "it down again."
            )
        named = {KEYS[record]: key if record != "logger" else "2000-01-01 00:00"}
        result = self._read_by_hand([(record, {**named, field: typed})])
        values = values_read(record, field, result.tables[record], result.tables["defect"])
        problems = result.files[0].problems
        good = field == "defects" and result.tables["part"]["outcome"].notna().any()
        if typed.strip() and values[field] is None and not good:
            raise QuestionError(_not_understood(typed, problems))
        asked = Correct(record, key, field, typed.strip(), was, values, result.files[0].file)
        import_id = self.store.correct(asked, now=self._now())
        return Corrected(record, key, field, was, values[field], problems, import_id)

    def _rows(self, kind: str, cells: Mapping[str, str]) -> list[tuple[str, Mapping[str, str]]]:
        """The record under a number of its own; with a mix, the part that it went into."""
        key = {"part": "part_id", "batch": "batch_id"}.get(kind)
        if key is None or (cells.get(key, "").strip() and not cells.get("part_id", "").strip()):
            return [(kind, cells)]
        read = self._read_by_hand([(kind, cells)]).tables[kind].iloc[0]
        part = self._part_of_mix(cells) if kind == "batch" else ""
        named = (
            cells if cells.get(key, "").strip() else {**cells, key: self._number(kind, read, part)}
        )
        pointer = f"{read['material']}_batch_id" if part else ""
        found = self.store.current("part", part) if part else None
        if found is None or found.texts.get(pointer, "named by nothing") is not None:
            return [(kind, named)]
        return [(kind, named), ("part", {"part_id": part, pointer: named["batch_id"]})]

    def _part_of_mix(self, cells: Mapping[str, str]) -> str:
        """The part a mix is for, as the log writes it. Raises QuestionError for an unknown one."""
        from analytics.listing import part_called

        said = cells.get("part_id", "").strip()
        return part_called(self._known()["part"], said) if said else ""

    def _number(self, kind: str, read: pd.Series[Any], part: str) -> str:
        """A number nobody has yet: "2024-03-04 M02 #1", or "P-014/resin" for a part's mix."""
        beside = read["mould_id" if kind == "part" else "material"]
        what = beside if isinstance(beside, str) else "mix" if part else ""
        day = (
            ""
            if read["date"] is None or read["date"] != read["date"]
            else f"{read['date']:%Y-%m-%d}"
        )
        base = f"{part}/{what}" if part else f"{day} {what}".strip()
        known = set(self._known()[kind])
        if part and base not in known:
            return base
        return next(name for n in count(1) if (name := f"{base} #{n}") not in known)

    def _known(self) -> dict[str, Sequence[str]]:
        known: dict[str, Sequence[str]] = self._worked_out("numbers known", self.store.numbers)
        return known

    def _read_by_hand(self, rows: Sequence[tuple[str, Mapping[str, str]]]) -> ReadResult:
        from analytics.records.by_hand import read_by_hand

        now = self._now()
        return read_by_hand(
            rows,
            file=self._hand_file(),
            defect_words=defect_words(self.knowledge),
            settings=self.store.settings(),
            today=now.date(),
            known=self._known(),
        )

    def _hand_file(self) -> str:
        """A name of its own for something typed in now."""
        return f"{BY_HAND}{self._now():%Y-%m-%d %H:%M:%S} {secrets.token_hex(3)}"
