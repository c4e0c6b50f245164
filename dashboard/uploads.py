"""Files dropped on a page, put where they can be read and taken away again afterwards."""

from __future__ import annotations

import binascii
from base64 import b64decode
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from analytics.errors import FileError

LONGEST_NAME = 120


@contextmanager
def on_disk(contents: Sequence[str], names: Sequence[str]) -> Iterator[list[Path]]:
    """The dropped files, each under its own name; they are gone when the block ends."""
    with TemporaryDirectory(prefix="laylog-") as folder:
        paths = []
        for number, (content, name) in enumerate(zip(contents, names, strict=True)):
            # A folder each: two files of one name must not write over each other.
            path = Path(folder, str(number), safe_name(name))
            path.parent.mkdir()
            path.write_bytes(_decoded(content, name))
            paths.append(path)
        yield paths


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
