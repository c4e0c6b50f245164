"""The trade knowledge in force: the built-in data with a shop's own file put over it.

A shop's file is TOML with tables named by kind and id, such as `[limit.gelcoat-catalyst]`,
`[cause.too-cold]` or `[defect.pinholes]`. A known id changes only the fields given (tables merge,
spellings and phrases are added, other lists are replaced); a new id is a new entry. Figures a shop
sets count as "the shop's own rule" unless they name another source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from analytics.knowledge import entries
from analytics.knowledge.entry import Entry
from analytics.knowledge.links import check_links, spellings
from analytics.knowledge.model import Defect, Knowledge, Settling
from analytics.knowledge.reading import (
    Mistakes,
    Tables,
    TomlFile,
    built_in_tables,
    read_shop_file,
    with_shop,
)

Thing = TypeVar("Thing")


def load_knowledge(shop_file: Path | None = None) -> Knowledge:
    """The built-in trade knowledge, with the shop's own file put over it where one is given.

    Raises
    ------
    KnowledgeError
        The file breaks the rules; every mistake is listed with its file, line and reason.
    FileError
        The file is not there or is no text.
    """
    if shop_file is None:
        return _built_in()
    shop = read_shop_file(shop_file)
    tables, files = _built_in_tables()
    mistakes = Mistakes((shop, *files))
    return _knowledge(with_shop(tables, shop, mistakes), mistakes)


def defect_words(knowledge: Knowledge) -> dict[str, str]:
    """Defect id by every lower-case spelling shops use for it, its own id and title among them."""
    words = {d.title.lower(): d.id for d in knowledge.defects.values()}
    for defect in knowledge.defects.values():
        words.update(dict.fromkeys(spellings(defect), defect.id))
    return words


@cache
def _built_in_tables() -> tuple[Tables, tuple[TomlFile, ...]]:
    return built_in_tables()


@cache
def _built_in() -> Knowledge:
    tables, files = _built_in_tables()
    return _knowledge(tables, Mistakes(files))


def _knowledge(tables: Tables, mistakes: Mistakes) -> Knowledge:
    strength = {name: _strength(name, tables, mistakes) for name in tables["strength"]}
    knowledge = Knowledge(
        sources=_read(entries.source, "source", tables, mistakes),
        defects=_with_groups(_read(entries.defect, "defect", tables, mistakes)),
        causes=_read(entries.cause, "cause", tables, mistakes),
        checks=_read(entries.check, "check", tables, mistakes),
        limits=_read(entries.limit, "limit", tables, mistakes),
        cautions=_read(_caution, "caution", tables, mistakes),
        likelihood=strength["likelihood"],
        unlisted_share=strength["unlisted-share"],
        trust=strength["trust"],
        chains=tuple(_read(entries.chain, "chain", tables, mistakes).values()),
        constants=_read(entries.constant, "constant", tables, mistakes),
        observations=_read(entries.observation, "observation", tables, mistakes),
        together=_read(entries.rule, "rule", tables, mistakes),
        plan=_read(entries.plan_figure, "plan", tables, mistakes),
        questions=_read(entries.question, "question", tables, mistakes),
        guards=_read(entries.guard, "guard", tables, mistakes),
        settling=_settling(tables, mistakes),
    )
    check_links(knowledge, tables, mistakes)
    mistakes.raise_any()
    return knowledge


def _read(
    make: Callable[[str, Entry], Thing], section: str, tables: Tables, mistakes: Mistakes
) -> dict[str, Thing]:
    found = {}
    for name, raw in tables[section].items():
        entry = Entry(raw, (section, name), mistakes)
        found[name] = make(name, entry)
        entry.finish()
    return found


def _caution(_name: str, entry: Entry) -> str:
    entry.text("source")
    return entry.text("text")


def _settling(tables: Tables, mistakes: Mistakes) -> Settling:
    entry = Entry(tables["settling"]["usual"], ("settling", "usual"), mistakes)
    found = entries.settling(entry)
    entry.finish()
    return found


def _strength(name: str, tables: Tables, mistakes: Mistakes) -> Any:
    entry = Entry(tables["strength"][name], ("strength", name), mistakes)
    entry.text("source")
    found = entries.trust(entry) if name == "trust" else entries.by_level(entry)
    entry.finish()
    return found


def _with_groups(defects: dict[str, Defect]) -> dict[str, Defect]:
    """The defects, each member of a group told which group it is in."""
    group_of = {member: d.id for d in defects.values() for member in d.members}
    return {name: replace(d, group=group_of.get(name)) for name, d in defects.items()}
