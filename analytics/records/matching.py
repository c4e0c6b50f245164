"""Which field each column of a table belongs to, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace

from analytics.records.columns import (
    FAULT_COLUMN,
    IGNORED,
    STRENGTHS,
    Column,
    FaultNamed,
    Match,
    may_share,
)
from analytics.records.fields import Placement, dictionary
from analytics.records.fitting import Fit, fit_of, is_ticked
from analytics.records.headings import Heading, meaning_words, read_headings, sides_of
from analytics.records.loose_headings import may_spare, spared, undigited, words_in_group
from analytics.records.mending import mended_headings
from analytics.records.spellings import (
    MIX_FIELDS,
    RESULT,
    Entry,
    index_of,
    is_skipped,
)
from analytics.records.suggesting import suggested
from analytics.records.telling_columns import with_part_numbers, with_ticks_apart
from analytics.records.words import plain

_LIKE_ENOUGH = 0.66
_SHARED = 0.5
_CLEAR = 0.2


def match_columns(
    record: str,
    columns: Sequence[Column],
    placed: Mapping[str, Placement],
    named: FaultNamed,
    *,
    likeness: bool = True,
) -> list[Match]:
    """A match for every column of a table of this record, in their order.

    `named` gives the defect a heading names, for tables with a column to tick for each fault.
    Without `likeness` only known headings count, which is quicker and enough to tell records apart.
    """
    told = {plain(header): placement for header, placement in placed.items()}
    matches = [_match(record, column, told, likeness) for column in columns]
    if record == "part":
        matches = [_fault_column(match, named) for match in _by_position(matches)]
        matches = with_ticks_apart(with_part_numbers(matches) if likeness else matches)
    return _without_clashes(record, matches)


def _match(record: str, column: Column, told: Mapping[str, Placement], likeness: bool) -> Match:
    if not column.header:
        return Match(column, None, None, "none", "no heading")
    placement = told.get(plain(column.header))
    if placement and placement.target in (*dictionary().targets(record), RESULT, IGNORED):
        return Match(column, placement.target, placement.unit, "placed", "placed by the shop")
    if column.header in (*dictionary().targets(record), RESULT):
        return Match(column, column.header, None, "exact", "field name")
    for headings, strength in _ways(record, column):
        found = _candidates(record, column, headings)
        if found:
            return _settled(column, found, strength)
    by_side = _by_sides(record, column)
    if by_side is not None:
        return by_side
    if is_skipped(column.header):
        return Match(column, IGNORED, None, "exact", "not needed")
    if not likeness:
        return Match(column, None, None, "none", "not known")
    return _by_likeness(record, column)


def _ways(record: str, column: Column) -> Iterator[tuple[list[Heading], str]]:
    """The heading read ever more loosely: as written, without spare words, spelling mended."""
    written = _grouped(column, list(read_headings(column.header)))
    plainly = [undigited(h) for h in written]

    yield written, "exact"
    yield plainly, "exact"
    yield [spared(h) for h in plainly], "close"
    if column.above and not column.group:
        above = meaning_words(column.above)
        yield [replace(h, words=h.words | above) for h in written], "close"
    for mended in mended_headings(column.header, record):
        yield _grouped(column, mended), "spelling"
        yield [spared(h) for h in mended], "spelling"


def _by_sides(record: str, column: Column) -> Match | None:
    """The field one side of a heading like "Form (mould)" means, if no other side disagrees."""
    matches = []
    for side in sides_of(column.header):
        found = _candidates(record, column, list(read_headings(side)))
        if found:
            matches.append(_settled(column, found, "side"))
    if len({match.target for match in matches}) != 1 or matches[0].target is None:
        return None
    return next((match for match in matches if match.unit), matches[0])


def _grouped(column: Column, written: list[Heading]) -> list[Heading]:
    """The heading with the mix named in a wider heading above it, and without."""
    if not column.group:
        return written
    return [replace(h, words=words_in_group(h, column.group)) for h in written] + written


def _candidates(
    record: str, column: Column, headings: Sequence[Heading]
) -> list[tuple[Entry, Heading, Fit]]:
    """Fields the heading can mean whose kind and unit suit the cells, best reading first."""
    found: list[tuple[Entry, Heading, Fit]] = []
    seen: set[str] = set()
    for heading in headings:
        for entry in _entries(record, heading):
            fit = fit_of(entry.field, heading, column.cells)
            if not may_spare(heading, entry.field):
                continue
            if entry.target in seen or not fit.suits or (entry.needs_unit and not fit.unit_given):
                continue
            seen.add(entry.target)
            found.append((entry, heading, fit))
    return found


def _entries(record: str, heading: Heading) -> list[Entry]:
    if heading.words:
        return index_of(record).get(heading.words, [])
    alone = {
        "temperature": "air_c",
        "share": "humidity_pct",
        "mass": "mass_kg",
        "length": "gelcoat_wet_mm",
        "dose": "catalyst_pct",
    }
    return [
        Entry(field.id, field, needs_unit=False)
        for quantity, field_id in alone.items()
        for field in dictionary().of(record)
        if field.id == field_id and heading.unit_for(quantity)
    ]


def _settled(column: Column, found: Sequence[tuple[Entry, Heading, Fit]], strength: str) -> Match:
    """The best candidate, or an open question when two suit equally well."""
    own = [item for item in found if "." not in item[0].target] or list(found)
    if column.group and not _plain_of_part(column, own):
        of_mix = [item for item in found if item[0].target.startswith(f"{column.group}.")]
        own = of_mix or own
    ranked = sorted(own, key=lambda item: -item[2].rank)
    entry, _, fit = ranked[0]
    rivals = [other for other, _, other_fit in ranked[1:] if other_fit.rank > fit.rank - 0.3]
    if rivals and fit.kind != "text":
        guesses = (entry.target, *(rival.target for rival in rivals))
        return Match(column, None, None, "none", "could be several", guesses)
    how = {
        "exact": "heading",
        "close": "heading, spare words left out",
        "side": "heading, one side of it",
        "spelling": "heading, spelling mended",
    }[strength]
    return Match(column, entry.target, fit.unit, strength, how)


def _plain_of_part(column: Column, own: Sequence[tuple[Entry, Heading, Fit]]) -> bool:
    """Whether a heading under a mix's wider heading says by itself that it is about the part."""
    alone = {heading.words for heading in read_headings(column.header)}
    return any("." not in entry.target and heading.words in alone for entry, heading, _ in own)


def _by_likeness(record: str, column: Column) -> Match:
    """The field whose known headings share most words with this one, if clearly ahead."""
    shared: dict[str, tuple[float, Entry, Heading]] = {}
    for heading in read_headings(column.header):
        for meaning, entries in index_of(record).items():
            if not meaning or not heading.words:
                continue
            like = len(meaning & heading.words) / len(meaning | heading.words)
            for entry in entries:
                if like > shared.get(entry.target, (0.0,))[0]:
                    shared[entry.target] = (like, entry, heading)
    ranked = sorted(shared.values(), key=lambda item: -item[0])
    guesses = suggested(record, column, [item for item in ranked if item[0] >= _SHARED])
    suited = [
        (like, entry, fit)
        for like, entry, heading in ranked[:6]
        if like >= _LIKE_ENOUGH - _CLEAR
        and (fit := fit_of(entry.field, heading, column.cells)).suits
        and (fit.unit_given or not entry.needs_unit)
    ]
    clear = suited and suited[0][0] >= _LIKE_ENOUGH and fit_is_telling(suited[0][2])
    if clear and (len(suited) == 1 or suited[0][0] - suited[1][0] >= _CLEAR):
        _, entry, fit = suited[0]
        return Match(column, entry.target, fit.unit, "likeness", "heading, most words shared")
    return Match(column, None, None, "none", "not known", guesses)


def fit_is_telling(fit: Fit) -> bool:
    """Whether the cells themselves speak for the field: not for plain text, which fits all."""
    return fit.kind != "text"


def _fault_column(match: Match, named: FaultNamed) -> Match:
    """A column to tick for one fault, when that is what its heading and cells are."""
    defect = named(match.column.header) if match.strength in ("none", "likeness") else None
    if defect is None or not is_ticked(match.column.cells):
        return match
    target = f"{FAULT_COLUMN}{defect}"
    return Match(match.column, target, None, "exact", "heading names a fault")


# ---------------------------------------------------------------- columns beside each other


def _by_position(matches: Sequence[Match]) -> list[Match]:
    """Bare mix columns ("Cat %") taken for the mix named by the nearest column to their left."""
    out: list[Match] = []
    role = ""
    for match in matches:
        if match.target and "." in match.target:
            role = match.target.partition(".")[0]
        elif match.target in ("gelcoat_batch_id", "resin_batch_id"):
            role = match.target.partition("_")[0]
        elif match.target is None and role and match.column.header:
            out.append(_in_role(match, role))
            continue
        out.append(match)
    return out


def _in_role(match: Match, role: str) -> Match:
    headings = read_headings(match.column.header)
    found = [
        item
        for item in _candidates("batch", match.column, headings)
        if item[0].target in MIX_FIELDS
    ]
    if not found:
        return match
    settled = _settled(match.column, found, "exact")
    if settled.target is None:
        return match
    how = f"heading, beside the {'gel coat' if role == 'gelcoat' else 'resin'} columns"
    return replace(settled, target=f"{role}.{settled.target}", strength="position", how=how)


def _without_clashes(record: str, matches: Sequence[Match]) -> list[Match]:
    """One column to a field: the surer match keeps it, the other is told who has it."""
    holders: dict[str, Match] = {}
    for match in sorted(matches, key=lambda m: -STRENGTHS.get(m.strength, 0)):
        if match.target and not may_share(match.target):
            holders.setdefault(match.target, match)
    taken = set(holders)
    out = []
    for match in matches:
        holder = holders.get(match.target or "")
        if holder is None or holder is match:
            out.append(match)
            continue
        other = _next_best(record, match, taken)
        taken.add(other.target or "")
        out.append(other if other.target else replace(other, rival=holder.column.header))
    return out


def _next_best(record: str, match: Match, taken: Set[str]) -> Match:
    """Another field the heading can mean that no column holds yet, else no field."""
    for headings, strength in _ways(record, match.column):
        found = _candidates(record, match.column, headings)
        free = [item for item in found if item[0].target not in taken]
        if free and match.strength != "placed":
            return _settled(match.column, free, strength)
    guesses = (match.target or "",)
    return Match(match.column, None, None, "none", "field taken", guesses)
