"""Spreadsheet bytes that are the same every time: no clock in them anywhere."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Mapping
from datetime import date
from io import BytesIO
from xml.sax.saxutils import escape, quoteattr

from openpyxl import Workbook
from openpyxl.styles import Font

from sample_logs.scribble import Cell, Page

WRITTEN = "2026-03-02T08:00:00Z"
ZIP_TIME = (2026, 3, 2, 8, 0, 0)
XML = '<?xml version="1.0" encoding="UTF-8"?>\n'
OASIS = "urn:oasis:names:tc:opendocument:xmlns"
ODS_TYPE = "application/vnd.oasis.opendocument.spreadsheet"
ODS_NAMES = " ".join(f'xmlns:{n}="{OASIS}:{n}:1.0"' for n in ("office", "table", "text"))
ODS_MANIFEST = (
    f'{XML}<manifest:manifest xmlns:manifest="{OASIS}:manifest:1.0" manifest:version="1.2">'
    f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{ODS_TYPE}"/>'
    '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
    "</manifest:manifest>"
)


def xlsx_bytes(pages: Mapping[str, Page]) -> bytes:
    """An Excel workbook with one sheet a page; the first line of each is a bold title."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, page in pages.items():
        sheet = book.create_sheet(name)
        for row in page:
            sheet.append(row)
        sheet["A1"].font = Font(bold=True)
    out = BytesIO()
    book.save(out)
    with zipfile.ZipFile(out) as archive:
        return _zipped({name: _without_clock(archive.read(name)) for name in archive.namelist()})


def ods_bytes(pages: Mapping[str, Page]) -> bytes:
    """An OpenDocument spreadsheet with one sheet a page.

    Written out by hand: odfpy's output depends on what else it wrote before in the same run.
    """
    sheets = "".join(_ods_sheet(name, page) for name, page in pages.items())
    content = (
        f'{XML}<office:document-content {ODS_NAMES} office:version="1.2"><office:body>'
        f"<office:spreadsheet>{sheets}</office:spreadsheet>"
        "</office:body></office:document-content>"
    )
    parts = {"mimetype": ODS_TYPE, "content.xml": content, "META-INF/manifest.xml": ODS_MANIFEST}
    return _zipped({name: text.encode() for name, text in parts.items()})


def _ods_sheet(name: str, page: Page) -> str:
    # A row must hold at least one cell.
    lines = ("".join(_ods_cell(cell) for cell in row or [None]) for row in page)
    rows = "".join(f"<table:table-row>{line}</table:table-row>" for line in lines)
    return f"<table:table table:name={quoteattr(name)}>{rows}</table:table>"


def _ods_cell(cell: Cell) -> str:
    if cell is None:
        return "<table:table-cell/>"
    if isinstance(cell, date):
        kind, shown = f'"date" office:date-value="{cell.isoformat()}"', f"{cell:%d/%m/%Y}"
    elif isinstance(cell, int | float):
        kind, shown = f'"float" office:value="{cell}"', f"{cell:g}"
    else:
        kind, shown = '"string"', escape(cell)
    return f"<table:table-cell office:value-type={kind}><text:p>{shown}</text:p></table:table-cell>"


def _without_clock(body: bytes) -> bytes:
    """The same XML with every time of writing set to one fixed moment."""
    return re.sub(rb">\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ?<", f">{WRITTEN}<".encode(), body)


def _zipped(files: Mapping[str, bytes]) -> bytes:
    """A zip archive whose entries all carry one fixed moment."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, body in files.items():
            entry = zipfile.ZipInfo(name, ZIP_TIME)
            entry.compress_type = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(entry, body)
    return out.getvalue()
