"""Small files that ask for more than any machine has: bombs of every kind known."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable, Container, Iterator, Mapping
from functools import partial

import openpyxl

from tests.hard.mutants import TESTS, Mutant

_SHEET = "xl/worksheets/sheet1.xml"
_STRINGS = "xl/sharedStrings.xml"
_STRINGS_HEAD = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
_LAUGHS = (
    '<!DOCTYPE x [<!ENTITY a "ha">'
    + "".join(
        f'<!ENTITY {new} "{f"&{old};" * 10}">'
        for old, new in zip("abcdefghi", "bcdefghij", strict=True)
    )
    + "]>"
)


def bombs(names: Container[str] | None = None) -> Iterator[Mutant]:
    """All bombs, or those of these names, each made only when its turn comes."""
    repeated = {f"{piece!r} over and over": partial(_repeated, piece) for piece in _OVER_AND_OVER}
    for name, make in (_BOMBS | repeated).items():
        if names is None or name in names:
            ending = name.rpartition(".")[2] if name in _BOMBS else "csv"
            yield Mutant(f"bomb.{ending}", make(), name)


def _repeated(piece: str) -> bytes:
    """Cells of a hundred thousand characters, one in each row, under every kind of heading."""
    cell = (piece * 100_000)[:99_000]
    columns = (
        "Part",
        "Date",
        "Start time",
        "Mould",
        "Air C",
        "PVA used",
        "Cost",
        "Result",
        "Notes",
    )
    rows = [",".join(cell if n == at else "" for n in range(9)) for at in range(9)]
    good = [f"P{n},1{n}/03/2024,08:0{n},M1,18.{n},yes,12,ok,fine" for n in range(10)]
    return "\n".join((",".join(columns), *good, *rows, *rows, *good)).encode()


def _book() -> dict[str, bytes]:
    made = io.BytesIO()
    book = openpyxl.Workbook()
    for row in (("Part", "Date", "Mould", "Result"), ("P1", "13/03/2024", "M1", "ok")):
        book.active.append(row)
    book.save(made)
    with zipfile.ZipFile(made) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    return parts | {_STRINGS: _STRINGS_HEAD + b"<si><t>stuck</t></si></sst>"}


def _packed(parts: Mapping[str, bytes]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as package:
        for name, part in parts.items():
            package.writestr(name, part)
    return made.getvalue()


def _with(part: str, old: bytes, new: bytes) -> Callable[[], bytes]:
    def make() -> bytes:
        book = _book()
        assert old in book[part], (part, book[part][:300])
        return _packed(book | {part: book[part].replace(old, new, 1)})

    return make


def _with_rows(xml: bytes) -> Callable[[], bytes]:
    return _with(_SHEET, b"</sheetData>", xml + b"</sheetData>")


def _laughing(part: str, tag: bytes) -> Callable[[], bytes]:
    def make() -> bytes:
        book = _book()
        body = book[part].partition(b"?>")[2] if book[part].startswith(b"<?xml") else book[part]
        spoilt = body.replace(tag, tag + b"&j;", 1)
        assert spoilt != body, (part, body[:300])
        return _packed(book | {part: b'<?xml version="1.0"?>' + _LAUGHS.encode() + spoilt})

    return make


def _ods(body: bytes, doctype: bytes = b"") -> bytes:
    with zipfile.ZipFile(TESTS / "data" / "odd" / "same" / "parts-and-mixes.ods") as package:
        parts = {name: package.read(name) for name in package.namelist()}
    content = parts["content.xml"]
    at = content.rindex(b"</table:table-row>") + len(b"</table:table-row>")
    content = content[:at] + body + content[at:]
    if doctype:
        content = b'<?xml version="1.0"?>' + doctype + content.partition(b"?>")[2]
    return _packed(parts | {"content.xml": content})


def _ods_cells(rows: int, columns: int) -> bytes:
    return (
        f'<table:table-row table:number-rows-repeated="{rows}"><table:table-cell '
        f'table:number-columns-repeated="{columns}" office:value-type="string"><text:p>x</text:p>'
        "</table:table-cell></table:table-row>"
    ).encode()


def _strings(xml: bytes) -> bytes:
    return _packed(_book() | {_STRINGS: _STRINGS_HEAD + xml + b"</sst>"})


def _lying_about_its_size() -> bytes:
    """A package whose listing says 100 bytes where 400 million are."""
    book = _book()
    book[_SHEET] = book[_SHEET].replace(b"<sheetData>", b" " * 400_000_000 + b"<sheetData>")
    data = bytearray(_packed(book))
    real = struct.pack("<I", len(book[_SHEET]))
    at = data.find(real)
    while at >= 0:
        data[at : at + 4] = struct.pack("<I", 100)
        at = data.find(real)
    return bytes(data)


def _unpacking_to_gigabytes() -> bytes:
    """Five parts of 900 million blanks, told truly; each packs to under one million."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    block = b" " * 1_000_000
    packed = b"".join(packer.compress(block) for _ in range(900)) + packer.flush()
    crc = 0
    for _ in range(900):
        crc = zlib.crc32(block, crc)
    body, listing = b"", b""
    for number in range(5):
        name = f"xl/worksheets/sheet{number}.xml".encode()
        head = struct.pack(
            "<HHHHHIIIHH", 20, 0, 8, 0, 0, crc, len(packed), 900_000_000, len(name), 0
        )
        listing += b"PK\1\2" + struct.pack("<H", 20) + head
        listing += struct.pack("<HHHII", 0, 0, 0, 0, len(body)) + name
        body += b"PK\3\4" + head + name + packed
    end = struct.pack("<HHHHIIH", 0, 0, 5, 5, len(listing), len(body), 0)
    return body + listing + b"PK\5\6" + end


def _old_book(change: Callable[[bytearray], None]) -> Callable[[], bytes]:
    def make() -> bytes:
        data = bytearray((TESTS / "data" / "odd" / "same" / "old-excel.xls").read_bytes())
        change(data)
        return bytes(data)

    return make


def _far_cells(data: bytearray) -> None:
    """The last shared-string cells of the old book moved to the last row and column there are."""
    at = data.rfind(b"\xfd\x00\x0a\x00")
    data[at + 4 : at + 8] = b"\xff\xff\xff\xff"


def _sectors_in_a_ring(data: bytearray) -> None:
    """Every link of the table of sectors points to itself."""
    (first,) = struct.unpack_from("<I", data, 76)
    start = 512 * (first + 1)
    for number in range(128):
        struct.pack_into("<I", data, start + 4 * number, number)


def _many_sectors(data: bytearray) -> None:
    struct.pack_into("<I", data, 44, 0xFFFFFFFF)
    struct.pack_into("<I", data, 72, 0xFFFFFFFF)


def _endless_strings(data: bytearray) -> None:
    at = data.find(b"\xfc\x00")
    data[at + 4 : at + 12] = b"\xff" * 8


def _large_sectors(data: bytearray) -> None:
    struct.pack_into("<H", data, 30, 62)


_OVER_AND_OVER = (
    "9", "1 ", "1-", "1/", "1.", "1:", ".", "-", " ", "(", ")", "(1) ", "a ", "stuck ", "stuk ",
    "no ", "no pinholes ", "x1 ", "½ ", "1½", "é", "°", "A1 ", "to ", "1 to ", "mon ", "jan ",
    "; ", "/ ", "slight ", "near the ", "0.", "%", "kg ", "approx ", "x", "\u00a0", "\u2028", "1e",
)  # fmt: skip
_WIDE = b"Part," + b",".join(b"c%d" % n for n in range(1_000_000)) + b"\nP1" + b"," * 1_000_000

_BOMBS: dict[str, Callable[[], bytes]] = {
    "a cell in the last row and column.xlsx": _with_rows(
        b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
    ),
    "a cell in the last row of few columns.xlsx": _with_rows(
        b'<row r="1048576"><c r="OJ1048576"><v>1</v></c></row>'
    ),
    "a cell beyond a million columns.xlsx": _with_rows(
        b'<row r="3"><c r="BDWGN3"><v>1</v></c></row>'
    ),
    "a row beyond numbers.xlsx": _with_rows(
        b'<row r="4294967295"><c r="A4294967295"><v>1</v></c></row>'
    ),
    "columns written backwards.xlsx": _with_rows(b'<row r="1"><c r="A1"><v>1</v></c></row>' * 2),
    "sixteen thousand columns.xlsx": _with_rows(b"<row>" + b"<c><v>1</v></c>" * 16_384 + b"</row>"),
    "a million columns.xlsx": _with_rows(b"<row>" + b"<c><v>1</v></c>" * 1_000_000 + b"</row>"),
    "blanks by the hundred million.xlsx": _with(
        _SHEET, b"<sheetData>", b" " * 500_000_000 + b"<sheetData>"
    ),
    "gigabytes told truly.xlsx": _unpacking_to_gigabytes,
    "lying about its size.xlsx": _lying_about_its_size,
    "tags a million deep.xlsx": _with_rows(b"<a>" * 1_000_000),
    "joined cells everywhere.xlsx": _with(
        _SHEET,
        b"</sheetData>",
        b'<row r="100000"><c r="A100000"><v>1</v></c></row></sheetData><mergeCells>'
        + b'<mergeCell ref="A2:A100000"/>' * 20_000
        + b"</mergeCells>",
    ),
    "five million short strings.xlsx": lambda: _strings(b"<si><t>a</t></si>" * 5_000_000),
    "a cell of two million.xlsx": lambda: _strings(b"<si><t>" + b"a" * 2_000_000 + b"</t></si>"),
    "one endless string.xlsx": lambda: _strings(b"<si><t>" + b"a" * 400_000_000 + b"</t></si>"),
    "styles by the million.xlsx": _with(
        "xl/styles.xml", b"<cellXfs", b'<x numFmtId="9"/>' * 6_000_000 + b"<cellXfs"
    ),
    "laughs in the strings.xlsx": _laughing(_STRINGS, b"<t>"),
    "laughs in the styles.xlsx": _laughing("xl/styles.xml", b'<fonts count="1">'),
    "laughs in the book.xlsx": _laughing("xl/workbook.xml", b"<sheets>"),
    "laughs in a sheet.xlsx": _laughing(_SHEET, b"<sheetData>"),
    "laughs.ods": lambda: _ods(
        b"<table:table-row><table:table-cell><text:p>&j;</text:p></table:table-cell>"
        b"</table:table-row>",
        _LAUGHS.encode(),
    ),
    "one cell a thousand million times.ods": lambda: _ods(_ods_cells(1, 1_000_000_000)),
    "one row a thousand million times.ods": lambda: _ods(_ods_cells(1_000_000_000, 1)),
    "rows and columns a million times.ods": lambda: _ods(_ods_cells(1_000_000, 1_000_000)),
    "a cell in the last row and column.xls": _old_book(_far_cells),
    "sectors in a ring.xls": _old_book(_sectors_in_a_ring),
    "too many sectors.xls": _old_book(_many_sectors),
    "sectors too large.xls": _old_book(_large_sectors),
    "endless strings.xls": _old_book(_endless_strings),
    "a million columns.csv": lambda: _WIDE,
    "fifty million commas.csv": lambda: b"Part,Date\n" + b"," * 50_000_000,
    "quotation marks only.csv": lambda: b'"' * 5_000_001,
    "opened again and again.csv": lambda: b"Part,Date,Mould\n" + b',"' * 2_000_000,
    "quotes over many lines.csv": lambda: b"Part,Date\n" + b'P1,"a\n' * 400_000,
    "doubled quotes.csv": lambda: b'Part,Date\n"' + b'""a' * 2_000_000,
    "one cell of fifty million.csv": lambda: b"Part,Date\nP1," + b"x" * 50_000_000,
    "a cell as long as may be.csv": lambda: (
        b"Part,Date,Mould,Faults\nP1,13/03/2024,M1," + b"x" * 99_000 + b"\n"
    ),
    "quotation marks in many lines.csv": lambda: (b'"' * 900_000 + b"\n") * 5,
    "words by the ten thousand.csv": lambda: (
        b"Part,Date,Mould,Notes,Faults\nP1,13/03/2024,M1,"
        + b"it was " * 14_000
        + b",slight bad stuck wet "
        + b"very dry " * 10_000
        + b"\n"
    ),
    "blanks.txt": lambda: b"Part  Date  Mould\nP1" + b" " * 10_000_000 + b"x",
    "empty lines.csv": lambda: b"Part,Date\n" + b"\n" * 1_000_000 + b"P1,13/03/2024\n",
    "figures of a hundred thousand digits.csv": lambda: (
        b"Part,Date,Mould,Air C,Result\n" + b"P1,13/03/2024,M1," + b"9" * 99_000 + b",ok\n"
    ),
    "faults by the thousand.csv": lambda: (
        b"Part,Date,Mould,Faults\nP1,13/03/2024,M1," + b"stuck; pin holes / " * 5_000 + b"\n"
    ),
    "headings of eighty thousand letters.csv": lambda: (
        b"Part,Date,Mould,"
        + b",".join(word * 10_000 for word in (b"stuck  ", b"air ", b"a(b) ", b"gel min/", b"x-"))
        + b"\nP1,13/03/2024,M1,1,2,3,4,5\n"
    ),
    "headings twice over, all alike.csv": lambda: b",".join([b"Part"] * 390) + b"\nP1\n",
}
