"""Cells a workbook shows otherwise than it stores them: 0.0185 as 1.85 %, 417 as 0417."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from xml.etree import ElementTree

Shown = Callable[[float], str]
Formats = Mapping[tuple[int, int], Shown]
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELS = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_PERCENT_IDS = frozenset({9, 10})
_SUFFIX = re.compile(r'[0#?](?:[.,0#?]*)((?:\s|\\.|"[^"]*")+)$')
_ODS_TAG = re.compile(
    rb"<table:(table|table-row|table-cell|covered-table-cell)(?=[ />])([^>]*)>|</table:table-row>"
)


def shown_formats(data: bytes) -> dict[str, Formats]:
    """By sheet, how cells (row, column, from 0) that are shown as a share, with a unit or with
    noughts in front turn into text. Empty for workbooks of other kinds."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            names = set(package.namelist())
            if "xl/styles.xml" in names:
                return dict(_xlsx(package))
            if "content.xml" in names:
                return _ods(package.read("content.xml"))
    except (KeyError, ElementTree.ParseError, zipfile.BadZipFile):
        pass  # the workbook's own reader will say what is wrong with it
    return {}


def percent(value: float) -> str:
    """A share as a person sees it: 0.0185 is "1.85%"."""
    return f"{value * 100:.10g}%"


# ---------------------------------------------------------------- XLSX


def _xlsx(package: zipfile.ZipFile) -> Iterator[tuple[str, Formats]]:
    styles = _styles(package.read("xl/styles.xml"))
    if not styles:
        return
    ids = b"|".join(str(number).encode() for number in styles)
    cell = re.compile(
        rb'<c (?=[^>]*\bs="(' + ids + rb')")(?=[^>]*\br="([A-Z]+)(\d+)")'
        rb'(?![^>]*\bt="(?:s|str|inlineStr|b|e)")[^>]*>'
    )
    for name, path in _sheet_paths(package):
        found = cell.findall(package.read(path))
        yield name, {(int(row) - 1, _column(at)): styles[int(style)] for style, at, row in found}


def _styles(xml: bytes) -> dict[int, Shown]:
    """By cell style number, how its figures are shown, for those shown otherwise."""
    root = ElementTree.fromstring(xml)
    codes = {
        int(entry.get("numFmtId", 0)): entry.get("formatCode", "")
        for entry in root.iter(f"{_MAIN}numFmt")
    }
    cells = root.find(f"{_MAIN}cellXfs")
    found = {}
    for number, style in enumerate(cells if cells is not None else ()):
        format_id = int(style.get("numFmtId", 0))
        shown = percent if format_id in _PERCENT_IDS else _shown(codes.get(format_id, ""))
        if shown is not None:
            found[number] = shown
    return found


def _shown(code: str) -> Shown | None:
    """How a format code shows a figure; None where it only sets decimals or a date."""
    first = re.sub(r"\[[^\]]*\]|_.|\*.", "", code.split(";")[0]).strip()
    if "%" in re.sub(r'"[^"]*"|\\.', "", first):
        return percent
    if re.fullmatch(r"0{2,}", first):
        return lambda value: f"{value:0{len(first)}.0f}"
    suffix = _SUFFIX.search(first)
    words = re.sub(r'["\\]', "", suffix[1]).strip() if suffix else ""
    return (lambda value: f"{value:.12g} {words}") if words else None


def _sheet_paths(package: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """Each sheet's name and where its cells are."""
    rels = ElementTree.fromstring(package.read("xl/_rels/workbook.xml.rels"))
    targets = {rel.get("Id"): rel.get("Target", "") for rel in rels}
    book = ElementTree.fromstring(package.read("xl/workbook.xml"))
    for sheet in book.iter(f"{_MAIN}sheet"):
        target = targets.get(sheet.get(f"{_RELS}id"), "").lstrip("/")
        path = target if target.startswith("xl/") else f"xl/{target}"
        if path in package.namelist():
            yield sheet.get("name", ""), path


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number - 1


# ---------------------------------------------------------------- ODS


def _ods(xml: bytes) -> dict[str, Formats]:
    if b'value-type="percentage"' not in xml:
        return {}
    found: dict[str, Formats] = {}
    own: dict[tuple[int, int], Shown] = {}
    row, column, repeats = -1, 0, 1
    for tag in _ODS_TAG.finditer(xml):
        kind, attributes = tag[1], tag[2] or b""
        if kind == b"table":
            own = {}
            found[_named(attributes)] = own
            row, repeats = -1, 1
        elif kind == b"table-row":
            row, column = row + repeats, 0
            repeats = _repeats(attributes, b"rows")
        elif kind is not None:
            wide = _repeats(attributes, b"columns")
            if b'value-type="percentage"' in attributes:
                for down in range(min(repeats, 1000)):
                    own |= {
                        (row + down, column + along): percent for along in range(min(wide, 400))
                    }
            column += wide
    return found


def _named(attributes: bytes) -> str:
    name = re.search(rb'table:name="([^"]*)"', attributes)
    return ElementTree.fromstring(b"<a>" + (name[1] if name else b"") + b"</a>").text or ""


def _repeats(attributes: bytes, what: bytes) -> int:
    found = re.search(rb"number-" + what + rb'-repeated="(\d+)"', attributes)
    return int(found[1]) if found else 1
