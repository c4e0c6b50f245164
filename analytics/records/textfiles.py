"""Text files as sheets of cell texts, whatever their encoding and separator."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice, repeat
from pathlib import Path
from typing import Any

import numpy as np

from analytics.errors import FileError
from analytics.records.coded import Coded, from_cells
from analytics.records.coding import code_rows
from analytics.records.limits import LONGEST_CELL, Limits, check_size
from analytics.records.sheets import RawSheet

_SEPARATORS = (";", "\t", ",", "|", "^", "~")
_GAPS = re.compile(r"(?<=\S) {2,}(?=\S)")
_LONG_TEXT = 1_000_000
_LONGEST_LINE = 1_000_000
_TRADE_MARKS = "°º²³µ½¼¾£€’‘“”–—…éèêëáàâíóôúüöäñçßåøÅØ×±✓✔№"


def looks_like_text(data: bytes) -> bool:
    """Whether a file holds text rather than a program's own bytes."""
    head = data[:4096]
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return True
    odd = sum(byte < 9 or 13 < byte < 32 for byte in head)
    return odd <= len(head) * 0.02 or _wide(head) is not None


def _wide(head: bytes) -> str | None:
    """UTF-16 without a mark at the start: every other byte is empty."""
    even, uneven = head[0::2].count(0), head[1::2].count(0)
    half = max(len(head) // 2, 1)
    if uneven > 0.6 * half and even < 0.1 * half:
        return "utf-16-le"
    if even > 0.6 * half and uneven < 0.1 * half:
        return "utf-16-be"
    return None


def decode(data: bytes) -> str:
    """The text of a file in whatever encoding its program used."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    wide = _wide(data[:4096])
    if wide:
        return data.decode(wide, errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return _decode_old(data)


def _decode_old(data: bytes) -> str:
    """Text in one of the one-byte encodings: the one whose odd letters look like a log's."""
    odd = bytes(sorted({byte for byte in data if byte > 127}))
    weights = Counter(byte for byte in data[:2_000_000] if byte > 127)
    scores = {name: _likeness(odd, weights, name) for name in ("cp1252", "mac_roman", "cp850")}
    best = max(scores, key=lambda name: scores[name])
    if scores[best] >= 0.5:
        return data.decode(best, errors="replace")
    from charset_normalizer import from_bytes

    guess = from_bytes(data[:200_000]).best()
    return data.decode(guess.encoding if guess else "cp1252", errors="replace")


def _likeness(odd: bytes, weights: Counter[int], encoding: str) -> float:
    good = total = 0
    for byte in odd:
        mark = bytes([byte]).decode(encoding, errors="replace")
        total += weights[byte]
        good += weights[byte] * (mark in _TRADE_MARKS)
    return good / max(total, 1)


def open_text(path: Path, data: bytes, limits: Limits) -> RawSheet:
    """The one sheet of a text file. Raises FileError when it holds no log."""
    if not looks_like_text(data):
        raise FileError(f"{path.name}: not a log laylog can read. Save it as CSV or XLSX.")
    text = decode(data)
    if re.match(r"\s*<(?:!doctype|html|\?xml)", text[:200], re.IGNORECASE):
        raise FileError(f"{path.name}: this is a web page, not a log. Save it as CSV or XLSX.")
    text = text.replace("\x00", "")
    csv.field_size_limit(LONGEST_CELL)
    if _has_endless_line(text):
        raise FileError(
            f"{path.name}: a line of more than a million characters is no row of a log."
            " Save the log again as CSV."
        )
    try:
        separator = find_separator(text[:200_000])
        if separator and len(text) > _LONG_TEXT:
            sheet = _code_long_text(path.stem, text, separator, limits)
            if sheet is not None:
                return sheet
        return code_rows(path.stem, _text_rows(text, separator), limits)
    except FileError as error:
        raise FileError(f"{path.name}, {error}") from error
    except csv.Error as error:
        raise FileError(
            f"{path.name}: a cell of more than {LONGEST_CELL:,} characters."
            " Look for a quotation mark that is never closed, and save the log again."
        ) from error


def _has_endless_line(text: str) -> bool:
    """Whether a line is longer than any log's: most searches below would never end on it."""
    start = 0
    while len(text) - start > _LONGEST_LINE:
        stop = start + _LONGEST_LINE + 1
        end = max(text.rfind("\n", start, stop), text.rfind("\r", start, stop))
        if end < 0:
            return True
        start = end + 1
    return False


def _quoted_rows(lines: list[str], separator: str) -> dict[int, list[str]] | None:
    """The cells of the lines that hold quotation marks, by line; None where they need care.

    That is where a mark may mean "as above", and where a quote may run on over a line's end.
    """
    marked = [number for number, line in enumerate(lines) if '"' in line]
    gap = re.escape(separator)
    lone = rf'(?:^|{gap})[ ]?"[ ]?(?:{gap}|$)'
    unclosed = rf'(?:^|{gap})"[^"]*+(?:""[^"]*+)*+$'
    care = re.compile(f"{lone}|{unclosed}")
    if len(marked) > len(lines) / 2 or any(care.search(lines[number]) for number in marked):
        return None
    rows = list(csv.reader([*(lines[n] for n in marked), "the end"], delimiter=separator))
    return dict(zip(marked, rows, strict=False)) if len(rows) == len(marked) + 1 else None


def _code_long_text(name: str, text: str, separator: str, limits: Limits) -> RawSheet | None:
    """The same as `code_rows` of `_text_rows`, by a quicker road for long files.

    None where quotation marks need the slow one's care.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text
    text = text.removesuffix("\n")
    rows = text.count("\n") + 1
    check_size(name, rows, 0, limits)
    if '"' not in text:
        width = text.partition("\n")[0].count(separator) + 1
        check_size(name, 0, width, limits)
        columns = _split(text, separator, width)
        if columns is not None:
            return RawSheet(name, rows, tuple(_coded(c, (), ()) for c in columns))
    lines = text.split("\n")
    del text
    quoted = _quoted_rows(lines, separator)
    return None if quoted is None else _code_lines(name, lines, quoted, separator, limits)


def _code_lines(
    name: str, lines: list[str], quoted: dict[int, list[str]], separator: str, limits: Limits
) -> RawSheet:
    """Lines that may differ in length, some with quotation marks and read already, as columns."""
    plain = lines
    if quoted:
        plain = ["" if number in quoted else line for number, line in enumerate(lines)]
    gaps = list(map(str.count, plain, repeat(separator)))
    width = max(max(gaps) + 1, *map(len, quoted.values()), 1)
    check_size(name, 0, width, limits)
    fill = [separator * n for n in range(width)]
    even = [line + fill[width - 1 - n] for line, n in zip(plain, gaps, strict=True)]
    columns = _split("\n".join(even), separator, width)
    assert columns is not None, "every line has as many cells as the longest"
    at = list(quoted)
    coded = []
    for number, cells in enumerate(columns):
        found = [row[number] if number < len(row) else "" for row in quoted.values()]
        coded.append(_coded(cells, at, found))
    return RawSheet(name, len(lines), tuple(coded))


def _coded(cells: Any, rows: Sequence[int], found: Sequence[str]) -> Coded:
    """A column as split, with the cells of rows that hold quotation marks put in."""
    codes, texts = cells.indices.to_numpy(zero_copy_only=False), cells.dictionary.to_pylist()
    if rows:
        import pandas as pd

        numbers: dict[str, int] = {}
        own = [numbers.setdefault(cell, len(numbers)) for cell in found]
        codes = codes.copy()
        codes[rows] = np.array(own) + len(texts)
        texts += numbers
        # numbered from the top down, as when the cells are read one by one
        codes, used = pd.factorize(codes)
        texts = [texts[number] for number in used]
    return from_cells(texts, codes)


def _split(text: str, separator: str, width: int) -> Iterator[Any] | None:
    """Lines of `width` cells each, without quotes, column by column with each text kept once.

    None where a line has more cells or fewer.
    """
    import pyarrow as pa
    from pyarrow import csv as arrow_csv

    names = [str(number) for number in range(width)]
    each_once = dict.fromkeys(names, pa.dictionary(pa.int32(), pa.string()))
    try:
        table = arrow_csv.read_csv(
            pa.BufferReader(text.encode()),
            # a block must hold a whole line
            arrow_csv.ReadOptions(
                use_threads=False, block_size=8 * _LONGEST_LINE, column_names=names
            ),
            arrow_csv.ParseOptions(delimiter=separator, quote_char=False, ignore_empty_lines=False),
            arrow_csv.ConvertOptions(column_types=each_once),
        )
    except pa.ArrowInvalid:
        return None
    return (column.unify_dictionaries().combine_chunks() for column in table.columns)


def _text_rows(text: str, separator: str | None) -> Iterator[list[str]]:
    if separator is None:
        text, separator = _GAPS.sub("\t", text), "\t"
    text = _spell_out_dittos(text, separator)
    lines = io.StringIO(text, newline="")
    if _quotes_are_loose(text, separator):
        yield from csv.reader(lines, delimiter=separator, quoting=csv.QUOTE_NONE)
    else:
        yield from csv.reader(lines, delimiter=separator)


def find_separator(sample: str) -> str | None:
    """The character between cells, or None when cells are only set apart by spaces."""
    told = re.match(r"sep=(.)\r?\n", sample)
    if told:
        return told[1]
    best, best_score = None, 0.0
    for separator in _SEPARATORS:
        score = _evenness(sample, separator)
        if score > best_score * 1.001:
            best, best_score = separator, score
    spaced = _evenness(_GAPS.sub("\t", sample), "\t")
    if spaced > 2 * best_score and spaced > 1:
        return None
    return best or ","


def _evenness(sample: str, separator: str) -> float:
    """How many cells a row has times how many rows agree on it; 0 when nothing is split."""
    reader = csv.reader(io.StringIO(sample, newline=""), delimiter=separator)
    try:
        widths = Counter(len(row) for row in islice(reader, 300) if row)
    except csv.Error:  # a long line that this separator does not split is one cell, and too long
        return 0.0
    split = {width: count for width, count in widths.items() if width > 1}
    if not split:
        return 0.0
    width, count = max(split.items(), key=lambda item: item[0] * item[1])
    return (count / sum(widths.values())) ** 2 * min(width, 40) ** 0.5


def _spell_out_dittos(text: str, separator: str) -> str:
    """A lone quotation mark between separators means "as above", not the start of a quote."""
    if '"' not in text:
        return text
    gap = re.escape(separator)
    lone = re.compile(rf'(?:(?<=^)|(?<={gap}))[ ]?"[ ]?(?={gap}|\r|\n|$)', re.MULTILINE)
    if not lone.search(text):
        return text

    def by_line(match: re.Match[str]) -> str:
        line = lone.sub("〃", match[0])
        rest = re.sub(r'(?<=\d)"', "", line)  # inches
        return match[0] if rest.count('"') % 2 else line

    return re.sub(r'[^\r\n]*"[^\r\n]*', by_line, text)


def _quotes_are_loose(text: str, separator: str) -> bool:
    """Whether quotation marks are inches or stray marks rather than round cells."""
    if '"' not in text:
        return False
    gap = re.escape(separator)
    opened = re.compile(rf'(?:^|{gap})"[^"]*\n(?:[^"\n]*\n){{12}}', re.MULTILINE)
    if opened.search(text):
        return True
    quoted = re.compile(rf'(?:^|{gap})"([^"]*+(?:""[^"]*+)*+)"', re.MULTILINE)
    rows = Counter(line.count(separator) for line in text[:50_000].splitlines())
    usual = max(rows, key=lambda width: (rows[width] * (width > 0), width))
    return any(
        "\n" in cell[1]
        and any(line.count(separator) >= 0.6 * usual > 1 for line in cell[1].splitlines())
        for cell in quoted.finditer(text)
    )
