"""One promise over all entries: each can be understood, acted on and traced to its source."""

from __future__ import annotations

import re
from collections import defaultdict

import pytest

from analytics.knowledge.loading import defect_words, load_knowledge
from analytics.knowledge.model import Cause, Defect

KNOWN = load_knowledge()
PLAIN = [d for d in KNOWN.defects.values() if not d.members]
SHARE_SUM_TOLERANCE = 0.03

# Defect ids are fixed: stores, answers and logs of shops hold them.
PLAIN_IDS = {
    "sticking-whole", "sticking-patches", "pinholes", "air-voids", "print-through", "tacky-face",
    "tacky-back", "wrinkling", "pre-release", "fish-eyes", "cracking", "delamination", "dry-spots",
    "resin-rich", "warping", "blisters", "dull-surface", "colour-streaks",
}  # fmt: skip
GROUPS = {
    "sticking": ("sticking-whole", "sticking-patches"),
    "tacky-surface": ("tacky-face", "tacky-back"),
}

# What a text tells people to handle, and the caution that must then stand beside it.
HAZARDS = {
    "acetone-fire": re.compile(r"acetone|solvent|swab", re.I),
    "peroxide-eyes": re.compile(r"catalyst|peroxide|cup test", re.I),
    "sanding-dust": re.compile(r"\b(sand|sanding|grind|abrade|cut out|compound)\b", re.I),
    "warm-cure": re.compile(r"\b(60 C|after-cure|oven)\b|\bwarm (the|it|to)\b", re.I),
    "styrene-vapour": re.compile(r"\b(relaminate|re-gel|respray|wipe with styrene)\b", re.I),
}


def test_every_defect_id_is_there_and_no_other() -> None:
    assert {d.id for d in PLAIN} == PLAIN_IDS
    assert {d.id: d.members for d in KNOWN.defects.values() if d.members} == GROUPS


def test_members_know_their_group() -> None:
    grouped = {d.id: d.group for d in KNOWN.defects.values() if d.group}
    assert grouped == {member: group for group, members in GROUPS.items() for member in members}


def test_at_least_58_causes_are_told_apart() -> None:
    assert len(KNOWN.causes) >= 58


def _lacking(entry: Cause | Defect, *fields: str) -> list[str]:
    return [f"{entry.id} has no {name}" for name in fields if not getattr(entry, name)]


def _handling(text: str, cautions: tuple[str, ...], where: str) -> list[str]:
    return [
        f"{where} speaks of handling that needs {caution}"
        for caution, pattern in HAZARDS.items()
        if pattern.search(text) and caution not in cautions
    ]


def _mistakes_in(cause: Cause) -> list[str]:
    needed = ("title", "what", "record", "levels", "shares", "stands_out", "checks")
    found = _lacking(cause, *needed, "check_text", "mend", "prevent", "said", "source")
    text = " ".join((cause.check_text, cause.mend, cause.prevent))
    found += _handling(text, cause.cautions, cause.id)
    found += [f"{cause.id}: share of {d}, but no word on what tells it apart there"
              for d in cause.shares if d not in cause.stands_out]  # fmt: skip
    found += [f'{cause.id}: phrase "{phrase}" is not plain lower case'
              for phrase in cause.said if phrase != phrase.lower().strip()]  # fmt: skip
    return found


def test_every_cause_can_be_checked_mended_prevented_and_traced() -> None:
    mistakes = [m for cause in KNOWN.causes.values() for m in _mistakes_in(cause)]
    assert not mistakes, "\n".join(mistakes)


def test_every_defect_can_be_recognised_mended_and_prevented() -> None:
    mistakes = []
    for defect in KNOWN.defects.values():
        mistakes += _lacking(defect, "title", "look", "this_part", "prevent", "words", "source")
        mistakes += _handling(defect.this_part, defect.cautions, defect.id)
    assert not mistakes, "\n".join(mistakes)


def test_every_bench_check_carries_the_cautions_of_what_it_handles() -> None:
    mistakes = [
        m for c in KNOWN.checks.values() for m in _handling(f"{c.title} {c.how}", c.cautions, c.id)
    ]
    assert not mistakes, "\n".join(mistakes)


def test_every_bench_check_confirms_something() -> None:
    used = {check for cause in KNOWN.causes.values() for check in cause.checks}
    # the dye wipe finds holes and cracks for the eye; it tells no cause from another
    assert set(KNOWN.checks) - used == {"dye-wipe"}


@pytest.mark.parametrize("defect", sorted(PLAIN_IDS))
def test_shares_of_a_defect_add_up_to_one(defect: str) -> None:
    total = sum(cause.shares.get(defect, 0.0) for cause in KNOWN.causes.values())
    assert total == pytest.approx(1.0, abs=SHARE_SUM_TOLERANCE)


def test_a_quarter_of_the_cases_or_more_needs_a_cause_that_often_brings_the_defect() -> None:
    doubtful = [
        f"{cause.id} takes {share:.0%} of {defect} but brings it only sometimes"
        for cause in KNOWN.causes.values()
        for defect, share in cause.shares.items()
        if share >= 0.25 and cause.levels[defect] < 2
    ]
    assert not doubtful, "\n".join(doubtful)


def test_published_sources_name_a_document_and_the_others_say_what_they_are() -> None:
    published = {s.id: s.text for s in KNOWN.sources.values() if s.kind == "published"}
    vague = re.compile(r"practice, no|from memory of|estimate|supplier|shop's own", re.I)
    assert [name for name, text in published.items() if vague.search(text)] == []
    assert all(re.search(r"\d|Practical|class", t, re.I) for t in published.values())
    assert KNOWN.sources["common-practice"].text == "common practice, no published source"
    assert KNOWN.sources["from-memory"].kind == "memory"
    assert KNOWN.sources["practice-estimate"].kind == "estimate"


def test_no_spelling_belongs_to_two_defects() -> None:
    owners = defaultdict(set)
    for defect in KNOWN.defects.values():
        for word in (defect.id, defect.id.replace("-", " "), defect.title.lower(), *defect.words):
            owners[word].add(defect.id)
    assert {word: ids for word, ids in owners.items() if len(ids) > 1} == {}


@pytest.mark.parametrize(
    ("typed", "defect"),
    [
        ("stuk", "sticking"), ("stuck in mould", "sticking"), ("stuck solid", "sticking-whole"),
        ("gel coat left on mould", "sticking-patches"), ("elephant skin", "wrinkling"),
        ("alligatoring", "wrinkling"), ("print thru", "print-through"),
        ("fibre print", "print-through"), ("let go early", "pre-release"),
        ("pre release", "pre-release"), ("bubbles in corners", "air-voids"),
        ("air behind gel", "air-voids"), ("voids", "air-voids"), ("star crack", "cracking"),
        ("crazing", "cracking"), ("bowed", "warping"), ("warped", "warping"),
        ("soft/tacky", "tacky-surface"), ("still sticky", "tacky-surface"),
        ("tacky gel", "tacky-face"), ("sticky back", "tacky-back"), ("fisheyes", "fish-eyes"),
        ("porosity", "pinholes"), ("holes", "pinholes"), ("orange peel", "dull-surface"),
        ("delam", "delamination"), ("dry patches", "dry-spots"), ("scorched", "resin-rich"),
        ("osmosis", "blisters"), ("streaky", "colour-streaks"),
    ],
)  # fmt: skip
def test_shop_spellings_find_their_defect(typed: str, defect: str) -> None:
    assert defect_words(KNOWN)[typed] == defect


def test_ids_and_titles_are_spellings_too() -> None:
    words = defect_words(KNOWN)
    assert words["pre-release"] == words["pre release"] == "pre-release"
    assert words["gel-coat wrinkling"] == "wrinkling"


def test_the_built_in_knowledge_is_read_once() -> None:
    assert load_knowledge() is load_knowledge()


def test_causes_of_a_group_are_those_of_its_members() -> None:
    both = {c.id for m in GROUPS["sticking"] for c in KNOWN.causes_of(m)}
    assert {c.id for c in KNOWN.causes_of("sticking")} == both
