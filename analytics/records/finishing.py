"""From wide tables to the records of a file: ids, repeats, mixes of part rows, faults."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from typing import Any

import numpy as np
import pandas as pd

from analytics.records.daily_numbers import named_by_day
from analytics.records.fields import KEYS, RECORDS, ROLES
from analytics.records.log import DEFECT_COLUMNS, columns_of, typed, typed_defects
from analytics.records.mix_links import filled_from_parts
from analytics.records.problems import Problem
from analytics.records.repeats import Clash, merge_repeats
from analytics.records.spellings import PART_OF_MIX

_TWICE = {
    "part": "part number twice",
    "batch": "mix number twice",
    "lot": "lot number twice",
    "mould": "mould number twice",
}


@dataclass
class Finished:
    """A file's records by kind, typed, and what finishing them found.

    The counts are by sheet number: records kept, rows that repeat one, mixes in part rows.
    `links` maps mix id to (material, part id) for mixes that name their part.
    """

    tables: dict[str, pd.DataFrame] = dataclass_field(default_factory=dict)
    problems: list[Problem] = dataclass_field(default_factory=list)
    kept: dict[str, Counter[int]] = dataclass_field(default_factory=dict)
    repeats: Counter[int] = dataclass_field(default_factory=Counter)
    mixes: Counter[int] = dataclass_field(default_factory=Counter)
    links: list[tuple[str, str | None, str]] = dataclass_field(default_factory=list)


def finish(file: str, sheets: Sequence[str], wides: dict[str, pd.DataFrame]) -> Finished:
    """The records of a file from its wide tables by record ("part", "batch" …)."""
    done = Finished()
    frames: dict[str, pd.DataFrame] = {}
    for record in RECORDS:
        wide = wides.get(record)
        if wide is None or wide.empty:
            continue
        frames[record] = _named(record, wide, file, sheets, done)
        repeats = merge_repeats(record, frames[record])
        where = frames[record][["sheet_no", "row"]].to_numpy()
        done.repeats.update(int(where[position][0]) for position in repeats.dropped)
        done.problems += [
            _clash_problem(record, clash, where, file, sheets) for clash in repeats.clashes
        ]
        frames[record] = repeats.frame.reset_index(drop=True)
        done.kept[record] = Counter(frames[record]["sheet_no"].tolist())
    if "part" in frames:
        _split_mixes(frames, done)
        done.tables["defect"] = _defects(frames["part"])
    if "batch" in frames:
        done.links = _links(frames["batch"])
    for record, frame in frames.items():
        frame["file"] = file
        frame["sheet"] = [sheets[number] for number in frame["sheet_no"]]
        frame["row"] = frame["row"] + 1
        done.tables[record] = typed(record, frame[[c for c in columns_of(record) if c in frame]])
    return done


# ---------------------------------------------------------------- ids


def _named(
    record: str, wide: pd.DataFrame, file: str, sheets: Sequence[str], done: Finished
) -> pd.DataFrame:
    """The table with an id for every record, made up from date and mould where none is written."""
    frame = wide.copy()
    if record == "logger":
        return frame[frame["timestamp"].notna()] if "timestamp" in frame else frame
    key = KEYS[record]
    if key not in frame:
        frame[key] = pd.Series([None] * len(frame), dtype=object)
    frame[key] = frame[key].astype(object)
    if record == "batch" and "date" in frame:
        _name_by_day(frame, file, sheets, done)
    nameless = frame[key].isna()
    if nameless.any():
        frame.loc[nameless, key] = _made_up(record, frame[nameless])
        unlinked = nameless
        if record == "batch" and PART_OF_MIX in frame:
            unlinked = nameless & frame[PART_OF_MIX].isna()
        if unlinked.any():
            done.problems.append(_nameless_problem(record, frame[unlinked], file, sheets))
    return frame


def _name_by_day(frame: pd.DataFrame, file: str, sheets: Sequence[str], done: Finished) -> None:
    """Give mixes numbered from 1 again each day their day in front, and say so."""
    named = named_by_day(frame["batch_id"], frame["date"], frame.get("material"))
    if named is None:
        return
    changed = frame[frame["batch_id"].notna() & frame["date"].notna()]
    first, names = changed.iloc[0], named.astype(object)
    first_name = names[changed.index[0]]
    done.problems.append(
        Problem(
            "assumed",
            file,
            sheets[int(first["sheet_no"])],
            int(first["row"]) + 1,
            None,
            f'mix number "{first["batch_id"]}" and others again on other days',
            "a number of its own for each mix",
            f'taken as numbered from the start each day, this one named "{first_name}". If'
            " that is wrong, give each mix a number of its own.",
        )
    )
    frame["batch_id"] = names


def _made_up(record: str, nameless: pd.DataFrame) -> list[str]:
    """Ids like "2024-03-04 M02 #1", counted within their day and mould."""
    beside = {"part": ("date", "mould_id"), "batch": ("date", "material")}.get(record, ())
    seen = Counter[str]()
    names = []
    for row in nameless.to_dict("records"):
        part = _short(row.get(PART_OF_MIX))
        if record == "batch" and part:
            base = f"{part}/{_short(row.get('material')) or 'mix'}"
        else:
            base = " ".join(text for name in beside if (text := _short(row.get(name))))
        seen[base] += 1
        alone = record == "batch" and part and seen[base] == 1
        names.append(base if alone else f"{base} #{seen[base]}".strip())
    return names


def _short(value: Any) -> str:
    if value is None or pd.isna(value):
        return ""
    return f"{value:%Y-%m-%d}" if isinstance(value, pd.Timestamp) else str(value)


def _nameless_problem(
    record: str, nameless: pd.DataFrame, file: str, sheets: Sequence[str]
) -> Problem:
    first = nameless.iloc[0]
    what = {"part": ("part", "date and mould"), "batch": ("mix", "date and material")}.get(
        record, (record, "their order")
    )
    return Problem(
        kind="no number",
        file=file,
        sheet=sheets[int(first["sheet_no"])],
        row=int(first["row"]) + 1,
        column=None,
        found=f"{len(nameless)} rows without a {what[0]} number",
        expected=f"a number for each {what[0]}",
        action=f'named by {what[1]}, the first "{first[KEYS[record]]}". Give each a number of its'
        " own to be sure of it.",
    )


def _clash_problem(
    record: str, clash: Clash, where: np.ndarray[Any, Any], file: str, sheets: Sequence[str]
) -> Problem:
    first, second = where[clash.first], where[clash.second]
    name = clash.field.removeprefix("other:")
    return Problem(
        kind=_TWICE[record],
        file=file,
        sheet=sheets[int(second[0])],
        row=int(second[1]) + 1,
        column=KEYS[record],
        found=f'{clash.id} again, with {name} "{clash.second_text}"',
        expected=f'{clash.id} as in row {int(first[1]) + 1} of "{sheets[int(first[0])]}", with'
        f' {name} "{clash.first_text}"',
        action=f'both kept, this one under another number ("{clash.id} #2"). Correct whichever is'
        " wrong.",
    )


# ---------------------------------------------------------------- mixes written in part rows


def _split_mixes(frames: dict[str, pd.DataFrame], done: Finished) -> None:
    """Move mix columns of part rows to records of their own, which the parts then point to."""
    parts = frames["part"]
    made = [mix for role in ROLES if (mix := _mixes(parts, role)) is not None]
    for mix, role in zip(made, [m["material"].iloc[0] for m in made], strict=True):
        done.mixes.update(mix["sheet_no"].tolist())
        pointer = f"{role}_batch_id"
        if pointer not in parts:
            parts[pointer] = pd.Series([None] * len(parts), dtype=object)
        parts.loc[mix.index, pointer] = mix["batch_id"]
    if made:
        together = pd.concat(made, ignore_index=True)
        settled = merge_repeats("batch", together).frame
        earlier = frames.get("batch")
        if earlier is not None:
            earlier, settled = filled_from_parts(earlier, settled)
        frames["batch"] = pd.concat(
            [f for f in (earlier, settled) if f is not None], ignore_index=True
        )
    frames["part"] = parts.drop(
        columns=[c for c in parts if str(c).startswith(("gelcoat.", "resin."))]
    )


def _mixes(parts: pd.DataFrame, role: str) -> pd.DataFrame | None:
    """The mixes of one role; a part with none of its columns filled has no such mix."""
    prefix = f"{role}."
    columns = [str(column) for column in parts if str(column).startswith(prefix)]
    if not columns:
        return None
    filled = parts[columns].notna().any(axis=1)
    own = parts.loc[filled, columns].rename(columns=lambda name: name.removeprefix(prefix))
    if own.empty:
        return None
    given = parts.get(f"{role}_batch_id", pd.Series(None, index=parts.index, dtype=object))[filled]
    own["date"] = parts.loc[filled, "date"] if "date" in parts else pd.NaT
    if given.dropna().astype(str).str.fullmatch(r"\d{1,2}").all():
        by_day = named_by_day(given, pd.to_datetime(own["date"]), None)
        given = given if by_day is None else by_day.astype(object)
    own["batch_id"] = given.fillna(parts.loc[filled, "part_id"] + f"/{role}")
    own["material"] = role
    own["sheet_no"], own["row"] = parts.loc[filled, "sheet_no"], parts.loc[filled, "row"]
    own["raw"] = [
        ready if isinstance(ready, str) else _raw_of(whole, prefix)
        for ready, whole in zip(
            parts.loc[filled, f"raw of {role}"].tolist(),
            parts.loc[filled, "raw"].tolist(),
            strict=True,
        )
    ]
    return own


def _raw_of(raw: str, prefix: str) -> str:
    """The mix's own cells of a row that was filled up from a repeat of it."""
    cells = {k.removeprefix(prefix): v for k, v in json.loads(raw).items() if k.startswith(prefix)}
    return json.dumps(cells, ensure_ascii=False)


def _links(batches: pd.DataFrame) -> list[tuple[str, str | None, str]]:
    """Mixes that name the part they went into: (mix id, material, part id)."""
    if PART_OF_MIX not in batches:
        return []
    linked = batches[batches[PART_OF_MIX].notna()]
    material = linked["material"] if "material" in linked else pd.Series(None, index=linked.index)
    return [
        (str(mix), _short(kind) or None, str(part))
        for mix, kind, part in zip(linked["batch_id"], material, linked[PART_OF_MIX], strict=True)
    ]


# ---------------------------------------------------------------- faults


def _defects(parts: pd.DataFrame) -> pd.DataFrame:
    if "faults" not in parts:
        return typed_defects(())
    rows = [
        (part_id, fault.defect, fault.severity, fault.place, fault.words)
        for part_id, faults in zip(parts["part_id"], parts["faults"], strict=True)
        if isinstance(faults, tuple)
        for fault in faults
    ]
    return typed_defects(pd.DataFrame(rows, columns=list(DEFECT_COLUMNS)))
