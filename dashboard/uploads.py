"""Files dropped on a page: they wait on this machine until somebody keeps them or leaves them."""

from __future__ import annotations

import binascii
import secrets
import threading
import time
from base64 import b64decode
from collections.abc import Callable, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from analytics.errors import FileError
from analytics.stopping import Watch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from analytics.records.mends import Mend

LONGEST_NAME = 120
MOST_BYTES = 40_000_000
MOST_WAITING = 20
WAIT_SECONDS = 3600.0


@dataclass
class Upload:
    """Files that wait: where they are, and the cells typed anew so far, by file name.

    `typed` holds the cells as they stood when they were last shown: {(file, sheet, row, column)};
    `watch` is where the work on them has got to, for whoever would stop it.
    """

    folder: TemporaryDirectory[str]
    paths: tuple[Path, ...]
    until: float
    mends: Mapping[str, Sequence[Mend]] = field(default_factory=dict)
    typed: Mapping[tuple[str, str, int, int], str] = field(default_factory=dict)
    watch: Watch = field(default_factory=Watch)


class Waiting:
    """The uploads that wait, each under a name nobody can guess; gone after an hour."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._uploads: dict[str, Upload] = {}

    def put(self, contents: Sequence[str], names: Sequence[str]) -> str:
        """The name the dropped files wait under. Raises FileError for more than may be dropped."""
        files = [(_decoded(c, n), n) for c, n in zip(contents, names, strict=True)]
        if sum(len(data) for data, _ in files) > MOST_BYTES:
            raise FileError(
                f"these files are more than {MOST_BYTES // 1_000_000} MB together. "
                "Use `laylog import` for logs that long."
            )
        folder = TemporaryDirectory(prefix="laylog-")
        paths = tuple(_written(Path(folder.name, str(n)), *one) for n, one in enumerate(files))
        upload = Upload(folder, paths, self._clock() + WAIT_SECONDS)
        name = secrets.token_urlsafe(24)
        with self._lock:
            self._uploads[name] = upload
            while len(self._uploads) > MOST_WAITING:
                self._remove(next(iter(self._uploads)))
        self._remove_later(name)
        return name

    @contextmanager
    def held(self, name: str | None) -> Iterator[Upload]:
        """The files that wait under a name, to be read. Raises FileError where they are gone."""
        self.clear()
        upload = self._uploads.get(name or "")
        if upload is None:
            raise FileError("these files are no longer here: drop them again.")
        yield upload

    def step(self, name: str | None) -> str:
        """Where the work on the files under a name has got to; empty where there is none."""
        upload = self._uploads.get(name or "")
        return upload.watch.step if upload else ""

    def stop(self, name: str | None) -> None:
        """End the work on the files under a name at its next step; the files stay."""
        upload = self._uploads.get(name or "")
        if upload is not None:
            upload.watch.stop()

    def drop(self, name: str | None) -> None:
        """Remove the files that wait under a name; work on them ends at its next step."""
        with self._lock:
            self._remove(name or "")

    def clear(self) -> None:
        """Remove what has waited too long."""
        with self._lock:
            late = [n for n, upload in self._uploads.items() if upload.until <= self._clock()]
            for name in late:
                self._remove(name)

    def _remove(self, name: str) -> None:
        upload = self._uploads.pop(name, None)
        if upload is not None:
            upload.watch.stop()
            upload.folder.cleanup()

    def _remove_later(self, name: str) -> None:
        timer = threading.Timer(WAIT_SECONDS, self.drop, (name,))
        timer.daemon = True
        timer.start()


def _written(folder: Path, data: bytes, name: str) -> Path:
    # A folder each: two files of one name must not write over each other.
    folder.mkdir()
    path = folder / safe_name(name)
    path.write_bytes(data)
    return path


def safe_name(name: str) -> str:
    """The last part of a file name, without anything that could lead out of its folder."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    shown = "".join(letter for letter in last if letter.isprintable()).strip(". ")
    return shown[-LONGEST_NAME:] or "file"


def _decoded(content: str, name: str) -> bytes:
    try:
        return b64decode(content.partition(",")[2], validate=True)
    except binascii.Error:
        raise FileError(f"{name}: the file did not arrive whole. Drop it again.") from None
