"""Where the last backup of a store is, told even when the store itself can no longer be asked."""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import datetime
from pathlib import Path

SETTING = "last-backup"
ENDING = ".laylog-backup"


def put_note(where: str, backup: Path, at: datetime) -> None:
    """Keep a note beside a store in a file; nowhere to write it is no reason to fail."""
    with suppress(OSError):
        _note_of(where).write_text(json.dumps(note(backup, at)), encoding="utf-8")


def note(backup: Path, at: datetime) -> dict[str, str]:
    """The note as the store keeps it in its settings."""
    return {"path": str(backup), "at": at.isoformat(" ", "minutes")}


def last_backup(where: str) -> tuple[Path, str] | None:
    """The last backup of the store in this file and when it was made, if it is still there.

    Without a note, the latest file beside the store that is called a backup.
    """
    with suppress(OSError, ValueError, KeyError, TypeError):
        told = json.loads(_note_of(where).read_text(encoding="utf-8"))
        if Path(told["path"]).is_file():
            return Path(told["path"]), str(told["at"])
    with suppress(OSError, ValueError):
        beside = list(Path(where).parent.glob(f"*{ENDING}"))
        if beside:
            latest = max(beside, key=lambda path: path.stat().st_mtime)
            at = datetime.fromtimestamp(latest.stat().st_mtime)
            return latest, at.isoformat(" ", "minutes")
    return None


def offer(where: str) -> str:
    """A sentence that names the last backup and how to put it back; says so where none is known."""
    found = last_backup(where)
    if found is None:
        return "No backup of it is known; a copy is put back with: laylog restore FILE --replace."
    path, at = found
    put_back = f"laylog restore {path} --store {where} --replace"
    return f"The last backup is {path}, of {at}. To put it back: {put_back}."


def _note_of(where: str) -> Path:
    return Path(f"{where}.last-backup")
