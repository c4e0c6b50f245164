"""A shop's own knowledge file is put over the trade's, and its mistakes are told all at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from analytics.errors import FileError, KnowledgeError
from analytics.knowledge.loading import defect_words, load_knowledge

NEW_CAUSE = """
[cause.glitter-in-gelcoat]
title = "Glitter flake in the gel coat"
what = "Flake holds air."
scope = "mix"
record = "Flake noted."
check_text = "Look with a loupe."
mend = "Fill and polish."
prevent = "Let it rest."
said = ["flake"]
levels = { pinholes = 2 }
checks = { hole-look = "round-through" }

[[cause.glitter-in-gelcoat.evidence]]
field = "gelcoat_rest_min"
harm = "below"
none = 10
full = 2
says = "rested {value} min"
denies = "rested {value} min, enough"
"""


def a_file(folder: Path, text: str) -> Path:
    path = folder / "our-shop.toml"
    path.write_text(text, "utf-8")
    return path


def mistakes_of(folder: Path, text: str) -> list[str]:
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(a_file(folder, text))
    return [line.strip() for line in str(caught.value).splitlines()[1:]]


def test_a_limit_changes_only_where_the_shop_says_so(tmp_path: Path) -> None:
    own = load_knowledge(a_file(tmp_path, "[limit.gelcoat-catalyst]\nhigh = 2.2\n"))
    trade = load_knowledge().limits["gelcoat-catalyst"]
    assert own.limits["gelcoat-catalyst"].high == 2.2
    assert own.limits["gelcoat-catalyst"].low == trade.low
    assert own.limits["gelcoat-catalyst"].source == "shop"
    assert own.limits["resin-catalyst"] == load_knowledge().limits["resin-catalyst"]


def test_the_trades_own_knowledge_is_left_alone(tmp_path: Path) -> None:
    before = load_knowledge().causes["too-cold"]
    load_knowledge(a_file(tmp_path, '[cause.too-cold]\nsaid = ["brass monkeys"]\n'))
    assert load_knowledge().causes["too-cold"] == before


def test_spellings_and_phrases_are_added_not_replaced(tmp_path: Path) -> None:
    text = '[defect.wrinkling]\nwords = ["prune"]\n[cause.too-cold]\nsaid = ["brass monkeys"]\n'
    own = load_knowledge(a_file(tmp_path, text))
    assert defect_words(own)["prune"] == defect_words(own)["elephant skin"] == "wrinkling"
    assert {"brass monkeys", "cold"} <= set(own.causes["too-cold"].said)


def test_tables_of_a_cause_merge_field_by_field(tmp_path: Path) -> None:
    text = "[cause.too-cold.levels]\nwarping = 3\n"
    own, trade = load_knowledge(a_file(tmp_path, text)), load_knowledge()
    levels = dict(trade.causes["too-cold"].levels)
    assert own.causes["too-cold"].levels == {**levels, "warping": 3}
    assert own.causes["too-cold"].source == trade.causes["too-cold"].source


def test_a_shop_may_add_a_cause_of_its_own(tmp_path: Path) -> None:
    own = load_knowledge(a_file(tmp_path, NEW_CAUSE))
    added = own.causes["glitter-in-gelcoat"]
    assert added in own.causes_of("pinholes")
    assert (added.source, added.evidence[0].source) == ("shop", "shop")
    assert own.sources["shop"].text == "this shop's own rule"


def test_a_file_saved_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "our-shop.toml"
    path.write_text("[limit.humidity]\nflag_high = 85\n", "utf-8-sig")
    assert load_knowledge(path).limits["humidity"].flag_high == 85


def test_all_mistakes_are_listed_at_once_with_file_line_and_reason(tmp_path: Path) -> None:
    text = """\
[cause.too-cold]
scpoe = "day"
mend = 7
cautions = ["acetone-fier"]
[cause.too-cold.levels]
stiking-whole = 2
warping = 5
[cause.too-cold.checks]
barcol = "lwo"
thumnail = "dents"
[limit.humidity]
high = 90
[defect.blisters]
words = ["stuk"]
[caus.nothing]
"""
    assert mistakes_of(tmp_path, text) == [
        'our-shop.toml, line 15: caus: no such kind of entry. Did you mean "cause"?',
        "our-shop.toml, line 7: cause too-cold, levels, warping: is 5; a level is 1 sometimes, "
        "2 often or 3 usual",
        "our-shop.toml, line 3: cause too-cold, mend: is 7, but a text is needed",
        'our-shop.toml, line 2: cause too-cold, scpoe: no such field. Did you mean "scope"?',
        "our-shop.toml, line 12: limit humidity, high: high (90) is over flag_high (80)",
        'our-shop.toml, line 4: cause too-cold, cautions: unknown caution "acetone-fier". '
        'Did you mean "acetone-fire"?',
        "our-shop.toml, line 6: cause too-cold, levels, stiking-whole: unknown defect "
        '"stiking-whole". Did you mean "sticking-whole"?',
        'our-shop.toml, line 9: cause too-cold, checks, barcol: unknown result of barcol "lwo". '
        'Did you mean "low"?',
        "our-shop.toml, line 10: cause too-cold, checks, thumnail: unknown bench check "
        '"thumnail". Did you mean "thumbnail"?',
        'our-shop.toml, line 14: defect blisters, words: "stuk" would be a spelling of both '
        "blisters and sticking",
    ]


def evidence(**changes: str) -> str:
    fields = {
        "field": '"air_c"', "harm": '"below"', "none": "18", "full": "8",
        "says": '"air {value}"', "denies": '"air {value}, fine"', **changes,
    }  # fmt: skip
    lines = "\n".join(f"{key} = {value}" for key, value in fields.items() if value)
    return f"[[cause.too-cold.evidence]]\n{lines}\n"


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"full": "18"}, "is 18, the same as none; they must differ"),
        ({"full": "20"}, 'is 20; with harm = "below" it must be lower than none (18)'),
        ({"harm": '"above"'}, 'is 8; with harm = "above" it must be higher than none (18)'),
        ({"none": ""}, 'harm = "below" needs both none and full'),
        ({"field": '"air_f"'}, 'unknown column "air_f". Did you mean "air_c"?'),
        ({"field": '"colour"'}, "colour is not a number: it needs values, not thresholds"),
        ({"says": '"air {vlaue}"'}, 'has no slot {vlaue}. Did you mean "value"?'),
        ({"source": '"iso-12215"'}, 'unknown source "iso-12215". Did you mean "iso-12215-5"?'),
        ({"harm": '"belwo"'}, 'is "belwo". Did you mean "below"?'),
    ],
)
def test_evidence_that_cannot_be_right_is_refused(
    tmp_path: Path, changes: dict[str, str], reason: str
) -> None:
    found = mistakes_of(tmp_path, evidence(**changes))
    assert any(line.endswith(reason) for line in found), found


def test_a_group_is_no_defect_a_cause_can_bring(tmp_path: Path) -> None:
    found = mistakes_of(tmp_path, "[cause.too-cold.levels]\nsticking = 2\n")
    assert found == [
        "our-shop.toml, line 2: cause too-cold, levels, sticking: sticking is a group; name "
        "sticking-whole or sticking-patches"
    ]


def test_a_new_entry_must_be_whole(tmp_path: Path) -> None:
    found = mistakes_of(tmp_path, '[caution.hot-glue]\nsource = "shop"\n')
    assert found == ["our-shop.toml, line 1: caution hot-glue, text: is missing; a text is needed"]


def test_broken_toml_is_told_with_its_line(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match=r"our-shop\.toml cannot be read as TOML: .*line 2"):
        load_knowledge(a_file(tmp_path, "[limit.humidity]\nhigh = high\n"))


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="is not there; check the name"):
        load_knowledge(tmp_path / "none.toml")
