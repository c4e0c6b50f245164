"""Files told apart by what is in them, whatever they are called."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from analytics.errors import FileError
from analytics.records.opening import log_files


def digests(paths: Iterable[str | Path]) -> dict[str, str]:
    """SHA-256 by file name, a folder's logs one by one; a file that cannot be read has none."""
    found = {}
    for path in paths:
        with suppress(FileError):
            for file in log_files(Path(path)):
                with suppress(OSError), file.open("rb") as content:
                    found[file.name] = hashlib.file_digest(content, "sha256").hexdigest()
    return found
