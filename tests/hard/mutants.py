"""Spoilt copies of good logs: bytes flipped, files cut, packages and cells made hostile."""

from __future__ import annotations

import io
import random
import re
import struct
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

TESTS = Path(__file__).parents[1]
ENDINGS = {".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods"}

HOSTILE = (
    "", " ", "\t", "\u00a0", "-", "--", "?", "nan", "NaN", "inf", "-Infinity", "1e309", "-1e-400",
    "9" * 400, "0" * 60 + "1", "0x1F", "1_000", "1e5", "1,2,3,4", "1.2.3.4", "+-3", "½", "1⁄2", "²",
    "٣٫٥", "๑๒", "Ⅷ", "三", "18°", "18 °K", "-300 C", "1e300 %", "65 F to 70", "12:60", "25:61:61",
    "-1:00", "99:99", "0000-00-00", "31/02/2024", "29/02/1900", "9999-12-31", "99999-01-01",
    "1/1/1", "00/00/00", "1677-09-20", "2262-04-12", "2958466", "-45000", "45000.9999999",
    "1e10", "Feb 30", "32 Mär 2024", "=1+1", "=cmd|' /C calc'!A0", "@SUM(A1)", "{{7*7}}", "%s%n%d",
    "'; DROP TABLE part; --", "../../etc/passwd", "\\\\host\\share", "<script>alert(1)</script>",
    "&lt;&amp;&#0;", "]]>", "\u202eabc", "a\u0301" * 50, "👩‍🔧", "\ufeff", "\x00", "\x1b[31m",
    "\u2028", "x" * 40_000, "stuck " * 3_000, "pinholes; " * 2_000, "A-001/gelcoat", "/", "n/a",
    "ditto", '"', '""', "〃", "TRUE", "yes no", "Part", "Date", "air temp", "catalyst %", "null",
)  # fmt: skip
"""Cell texts that have broken readers of one kind or another."""

_NUMBERS = (
    b"-1", b"0", b"255", b"65535", b"65536", b"2147483647", b"4294967295", b"99999999999999999999",
    b"1e308", b"-1e308", b"nan", b"", b"1048576", b"16384", b"1000000000", b"0.00000000001",
)  # fmt: skip
_WORDS = (0, 1, 0x7F, 0xFF, 0x100, 0x7FFF, 0x8000, 0xFFFF, 0xFFFE, 0x7FFFFFFF, 0xFFFFFFFF)


@dataclass(frozen=True)
class Mutant:
    """A spoilt file: its name (the ending counts), its bytes and what was done to it."""

    name: str
    data: bytes
    told: str


def seeds() -> list[Path]:
    """The good files that mutants are made from."""
    folders = (TESTS / "data" / "odd", TESTS.parent / "sample_logs")
    found = [p for folder in folders for p in folder.rglob("*") if p.suffix.lower() in ENDINGS]
    return sorted(path for path in found if path.stat().st_size < 200_000)


def mutant(number: int, files: list[Path]) -> Mutant:
    """Mutant `number`, always the same for the same files; each file has its turn."""
    chance = random.Random(number * 7919 + 17)
    source = files[number % len(files)]
    data = source.read_bytes()
    text = data.startswith(b"PK") is False and source.suffix.lower() != ".xls"
    ways = _TEXT if text else _PACKAGE if data.startswith(b"PK") else _OLD_BOOK
    told = []
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        way = chance.choice(ways)
        data = way(data, chance)
        told.append(way.__name__.strip("_").replace("_", " "))
    ending = chance.choice(sorted(ENDINGS)) if chance.random() < 0.03 else source.suffix
    return Mutant(f"{source.stem}{ending}", data, f"{source.name}: {', '.join(told)}")


# ------------------------------------------------------------------ any file


def _bytes_flipped(data: bytes, chance: random.Random) -> bytes:
    spoilt = bytearray(data)
    for _ in range(chance.choice((1, 3, 30))):
        if spoilt:
            spoilt[chance.randrange(len(spoilt))] = chance.randrange(256)
    return bytes(spoilt)


def _cut_short(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(len(data) + 1)]


def _piece_lost(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + data[at + chance.choice((1, 7, 64, 700)) :]


def _piece_doubled(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    piece = data[at : at + chance.choice((2, 16, 500))]
    return data[:at] + piece * chance.choice((2, 5, 40)) + data[at:]


def _rubbish_put_in(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.randbytes(chance.choice((1, 8, 300))) + data[at:]


def _emptied(data: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(data) + 1)
    wide = chance.choice((1, 16, 512))
    return data[:at] + bytes(len(data[at : at + wide])) + data[at + wide :]


# ------------------------------------------------------------------ text files


def _separator(data: bytes) -> bytes:
    return max((b",", b";", b"\t", b"|"), key=data.count)


def _cells_replaced(data: bytes, chance: random.Random) -> bytes:
    separator = _separator(data)
    lines = data.split(b"\n")
    for _ in range(chance.choice((1, 2, 6, 20))):
        at = chance.randrange(len(lines))
        cells = lines[at].split(separator)
        cells[chance.randrange(len(cells))] = chance.choice(HOSTILE).encode()
        lines[at] = separator.join(cells)
    return b"\n".join(lines)


def _column_replaced(data: bytes, chance: random.Random) -> bytes:
    separator = _separator(data)
    rows = [line.split(separator) for line in data.split(b"\n")]
    at = chance.randrange(max(map(len, rows)))
    few = [text.encode() for text in chance.sample(HOSTILE, 3)]
    for row in rows[1:]:
        if at < len(row):
            row[at] = chance.choice(few)
    return b"\n".join(separator.join(row) for row in rows)


def _lines_shuffled(data: bytes, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    chance.shuffle(lines)
    return b"\n".join(lines)


def _columns_doubled(data: bytes, chance: random.Random) -> bytes:
    separator = _separator(data)
    return b"\n".join(line + separator + line for line in data.split(b"\n"))


def _other_encoding(data: bytes, chance: random.Random) -> bytes:
    name = chance.choice(("utf-16", "utf-16-le", "utf-32", "utf-7", "cp037", "utf-8-sig", "cp1251"))
    return data.decode("utf-8", "replace").encode(name, "replace")


# ------------------------------------------------------------------ packages (XLSX, ODS)


def _repacked(data: bytes, change: Callable[[str, bytes], bytes], chance: random.Random) -> bytes:
    """The package with one part changed; bytes that are no package any more stay as they are."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            parts = {name: package.read(name) for name in package.namelist()}
    except (zipfile.BadZipFile, OSError, EOFError, ValueError, NotImplementedError, RuntimeError):
        return _bytes_flipped(data, chance)
    except Exception as error:
        if type(error).__name__ == "error":  # zlib's
            return _bytes_flipped(data, chance)
        raise
    written = sorted(name for name, part in parts.items() if part)
    if not written:
        return data
    sheets = [name for name in written if "sheet" in name or "content" in name or "hared" in name]
    chosen = chance.choice(sheets if sheets and chance.random() < 0.7 else written)
    parts[chosen] = change(chosen, parts[chosen])
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", chance.choice((zipfile.ZIP_DEFLATED, 0))) as package:
        for name, part in parts.items():
            package.writestr(name, part)
    return made.getvalue()


def _part_bytes_spoilt(data: bytes, chance: random.Random) -> bytes:
    way = chance.choice(_ANY)
    return _repacked(data, lambda _, part: way(part, chance), chance)


def _numbers_in_xml_replaced(data: bytes, chance: random.Random) -> bytes:
    def change(_: str, part: bytes) -> bytes:
        found = list(re.finditer(rb'(?<=["A-Z>])\d+(?:\.\d+)?(?=["<])', part))
        for match in sorted(
            chance.sample(found, min(len(found), chance.choice((1, 3, 10)))),
            key=lambda match: -match.start(),
        ):
            part = part[: match.start()] + chance.choice(_NUMBERS) + part[match.end() :]
        return part

    return _repacked(data, change, chance)


def _texts_in_xml_replaced(data: bytes, chance: random.Random) -> bytes:
    def change(_: str, part: bytes) -> bytes:
        found = list(re.finditer(rb">([^<>]+)<", part))
        for match in sorted(
            chance.sample(found, min(len(found), chance.choice((1, 4, 20)))),
            key=lambda match: -match.start(),
        ):
            text = chance.choice(HOSTILE)
            if chance.random() < 0.8:
                text = text.replace("&", "&amp;").replace("<", "&lt;")
            part = part[: match.start(1)] + text.encode() + part[match.end(1) :]
        return part

    return _repacked(data, change, chance)


def _tags_moved(data: bytes, chance: random.Random) -> bytes:
    def change(_: str, part: bytes) -> bytes:
        tags = re.split(rb"(?=<)", part)
        for _ in range(chance.choice((1, 2, 8))):
            at, to = chance.randrange(len(tags)), chance.randrange(len(tags))
            if chance.random() < 0.5:
                tags.insert(to, tags[at])
            else:
                tags[at], tags[to] = tags[to], tags[at]
        return b"".join(tags)

    return _repacked(data, change, chance)


def _attributes_lost(data: bytes, chance: random.Random) -> bytes:
    def change(_: str, part: bytes) -> bytes:
        gone = chance.choice((rb' r="[^"]*"', rb' t="[^"]*"', rb' s="[^"]*"', rb' [\w:-]+="[^"]*"'))
        share = chance.choice((0.02, 0.5, 1))
        return re.sub(gone, lambda m: b"" if chance.random() < share else m[0], part)

    return _repacked(data, change, chance)


def _part_taken_out(data: bytes, chance: random.Random) -> bytes:
    return _repacked(data, lambda *_: b"", chance)


# ------------------------------------------------------------------ old books (XLS)


def _words_replaced(data: bytes, chance: random.Random) -> bytes:
    spoilt = bytearray(data)
    for _ in range(chance.choice((1, 2, 5, 20))):
        wide = chance.choice((2, 4))
        at = chance.randrange(0, max(len(spoilt) - 4, 1), 2)
        value = chance.choice(_WORDS) & (256**wide - 1)
        spoilt[at : at + wide] = struct.pack("<H" if wide == 2 else "<I", value)
    return bytes(spoilt)


def _records_replaced(data: bytes, chance: random.Random) -> bytes:
    """Words of the cell records (label, number, dimensions, shared strings) spoilt."""
    spoilt = bytearray(data)
    kinds = (
        b"\xfd\x00",
        b"\x03\x02",
        b"\x7e\x02",
        b"\xbd\x00",
        b"\x00\x02",
        b"\xfc\x00",
        b"\x85\x00",
    )
    found = [m.start() for kind in kinds for m in re.finditer(re.escape(kind), data)]
    for at in chance.sample(found, min(len(found), chance.choice((1, 3, 10)))):
        place = at + 2 * chance.randrange(1, 6)
        spoilt[place : place + 2] = struct.pack("<H", chance.choice(_WORDS) & 0xFFFF)
    return bytes(spoilt)


_ANY = (
    _bytes_flipped, _cut_short, _piece_lost, _piece_doubled, _rubbish_put_in, _emptied,
)  # fmt: skip
_TEXT = (
    *_ANY, _cells_replaced, _cells_replaced, _cells_replaced, _column_replaced, _column_replaced,
    _lines_shuffled, _columns_doubled, _other_encoding,
)  # fmt: skip
_PACKAGE = (
    _bytes_flipped, _cut_short, _part_bytes_spoilt, _part_bytes_spoilt, _numbers_in_xml_replaced,
    _numbers_in_xml_replaced, _texts_in_xml_replaced, _texts_in_xml_replaced, _tags_moved,
    _attributes_lost, _part_taken_out,
)  # fmt: skip
_OLD_BOOK = (*_ANY, _words_replaced, _words_replaced, _records_replaced, _records_replaced)
