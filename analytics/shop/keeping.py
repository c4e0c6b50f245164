"""Reading files into the shop, and keeping what somebody says about columns and faults."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.knowledge.loading import defect_words
from analytics.records.fields import Placement
from analytics.records.store import Confirmation, Import, Observation
from analytics.shop.base import OpenShop

if TYPE_CHECKING:
    from analytics.records.problems import FileReport
    from analytics.records.store import SaveReport


@dataclass(frozen=True)
class ImportAnswer:
    """What reading files found, and (for an import) what the store took: None for a dry run."""

    files: tuple[FileReport, ...]
    saved: SaveReport | None = None

    @property
    def has_problems(self) -> bool:
        return any(report.problems for report in self.files)

    @property
    def could_not(self) -> bool:
        """True where no file gave a single record."""
        return not any(sheet.rows - sheet.not_records for f in self.files for sheet in f.sheets)

    def to_json(self) -> dict[str, Any]:
        """The fixed keys of `laylog import --json` and `laylog check --json`, and more."""
        answer: dict[str, Any] = {"files": [report.to_json() for report in self.files]}
        if self.saved is not None:
            for entry, kept in zip(answer["files"], self.saved.files, strict=True):
                entry["import_id"] = kept.import_id
                entry["saved"] = {
                    name: {"new": c.new, "unchanged": c.unchanged, "changed": c.changed}
                    for name, c in kept.records.items()
                }
        return answer


class Keeping(OpenShop):
    """What goes into the store: files read, columns placed, causes confirmed, checks done."""

    def check_files(self, paths: Sequence[str | Path]) -> ImportAnswer:
        """What would be read from these files, and every problem; nothing is kept."""
        return ImportAnswer(self._read(paths).files)

    def import_files(self, paths: Sequence[str | Path]) -> ImportAnswer:
        """Read these files and keep their records, all in one transaction."""
        from analytics.records.digests import digests

        result = self._read(paths)
        saved = self.store.save(result, now=self._now(), sha256=digests(paths))
        return ImportAnswer(result.files, saved)

    def _read(self, paths: Sequence[str | Path]) -> Any:
        from analytics.records.reading import read_files

        return read_files(
            [Path(p) for p in paths],
            defect_words=defect_words(self.knowledge),
            placed=self.store.placements(),
            settings=self.store.settings(),
            today=self._now().date(),
        )

    def place_column(self, header: str, target: str, unit: str | None = None) -> Placement:
        """Remember what a column means. Raises QuestionError for an unknown field or unit."""
        from analytics.records.placing import checked_placement

        placed = checked_placement(target, unit)
        self.store.place_column(header, placed.target, placed.unit)
        return placed

    def placements(self) -> Mapping[str, Placement]:
        """What the shop said its columns mean."""
        return self.store.placements()

    def imports(self) -> tuple[Import, ...]:
        """Every import, oldest first."""
        return self.store.imports()

    def undo_import(self, import_id: int) -> None:
        """Take an import back. Raises StoreError when later ones build on it."""
        self.store.undo_import(import_id, now=self._now())

    def confirm(self, part_id: str, defect: str, cause: str) -> None:
        """Keep what a fault turned out to be. Raises QuestionError for an unknown cause."""
        if cause not in self.knowledge.causes:
            raise QuestionError(f'no cause is called "{cause}"; `laylog why {part_id}` lists them.')
        self.store.confirm(part_id, defect, cause, now=self._now())

    def withdraw(self, part_id: str, defect: str) -> bool:
        """Take a confirmed cause back; False when there was none."""
        return self.store.withdraw_confirmation(part_id, defect, now=self._now())

    def confirmations(self) -> tuple[Confirmation, ...]:
        """Every cause that somebody confirmed."""
        return self.store.confirmations()

    def observe(self, part_id: str, check: str, result: str) -> None:
        """Keep the result of a bench check on a part."""
        self.store.add_observation(part_id, check, result, now=self._now())

    def observations(self, part_id: str) -> tuple[Observation, ...]:
        """Bench results kept for a part."""
        return self.store.observations(part_id)
