"""What each page shows, asked of its functions without a browser."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import replace
from typing import Any

import pytest
from dash import no_update

from analytics.errors import QuestionError, StoreError
from analytics.records.fields import dictionary
from dashboard import dropping
from dashboard.app import PAGES, nav, say, turn_to
from dashboard.components.fields import places
from dashboard.pages import catalyst, cause, home, month, records
from dashboard.uploads import Waiting
from tests.dashboard.fake_shop import (
    HOSTILE,
    TEN,
    FakeShop,
    a_diagnosis,
    a_knowledge,
    a_line,
    a_ranked,
    a_review,
    a_share,
    an_advice,
)
from tests.dashboard.looking import every, ids, links, of_class, words


@pytest.fixture
def shop() -> FakeShop:
    return FakeShop()


@pytest.fixture
def no_log() -> FakeShop:
    return FakeShop(parts=(), month_names=())


# -- pages and the frame around them --


def test_pages_have_a_path_a_title_and_a_place_in_the_address() -> None:
    paths = ["/", "/cause", "/catalyst", "/plan", "/write", "/month", "/settle", "/records"]
    assert [page.PATH for page in PAGES if page.PATH in paths] == paths
    for page in PAGES:
        shown, _ = turn_to(page.PATH)
        assert page.TITLE in words(shown)


def test_every_id_of_a_page_is_there_once() -> None:
    for page in PAGES:
        named = [one for one in ids(page.layout()) if isinstance(one, str)]
        assert len(named) == len(set(named))


def test_open_page_is_marked_in_words_too() -> None:
    marked = [words(item) for item in of_class(nav("/plan"), "here")]
    assert marked == ["Plan , this page"]


def test_page_folded_away_on_a_phone_is_marked_where_it_is_folded() -> None:
    row, folded = of_class(nav("/month"), "here")
    assert words(row) == "Month , this page"
    assert words(folded).startswith("More , Month is open")


def test_bench_questions_are_never_folded_away() -> None:
    (more,) = of_class(nav("/"), "more-questions")
    folded = set(links(more).values())
    bench = {"/cause", "/catalyst", "/plan", "/write"}
    assert folded == {page.PATH for page in PAGES} - bench - {"/"}


def test_address_that_leads_nowhere_leads_back() -> None:
    shown, _ = turn_to("/nowhere")
    assert links(shown) == {"Back to the questions": "/"}


def test_own_errors_are_shown_as_their_sentence() -> None:
    assert words(say(QuestionError("no part K-1"))) == "Could not answer that No part K-1"
    assert (
        words(say(StoreError("the store is locked."))) == "Could not do that The store is locked."
    )


def test_mistakes_of_laylog_are_admitted_without_a_traceback(
    caplog: pytest.LogCaptureFixture,
) -> None:
    shown = words(say(KeyError("secret internals")))
    assert "laylog made a mistake of its own" in shown
    assert "secret" not in shown
    assert "secret internals" in caplog.text


# -- the first page --


def test_home_asks_the_moulders_questions() -> None:
    asked = links(home.layout())
    assert list(asked.values()) == [
        "/cause", "/catalyst", "/plan", "/write", "/month", "/settle", "/records",
    ]  # fmt: skip
    assert any("Why did this part fail?" in question for question in asked)


def test_home_shows_the_latest_failures(shop: FakeShop) -> None:
    assert "/cause?part=K-031" in links(home.latest(shop, {})).values()


def test_home_leads_to_the_result_nobody_wrote(shop: FakeShop) -> None:
    shown = of_class(home.latest(shop, {}), "home-unwritten")[0]
    assert "1 part has no result written down" in words(shown)
    assert links(shown) == {"K-099": "/records?part=K-099&fix=K-099%7Coutcome"}


def test_home_asks_for_no_result_where_all_are_written(shop: FakeShop) -> None:
    shop.good = ()
    assert of_class(home.latest(shop, {}), "home-unwritten") == []


def test_home_says_what_the_log_holds(shop: FakeShop) -> None:
    assert "In the log: 4 parts, 12 Mar 2024 to 12 Mar 2024." in words(home.latest(shop, {}))


def test_home_without_a_log_says_what_can_be_done_already(no_log: FakeShop) -> None:
    shown = home.latest(no_log, {})
    assert "laylog knows the trade already" in words(shown)
    assert "/records" in links(shown).values()


# -- find the cause --


def test_latest_failures_come_first(shop: FakeShop) -> None:
    shown = cause.answer(shop, {})
    assert "Latest failures" in words(shown)
    assert "/cause?part=K-031" in links(shown).values()


def test_search_finds_by_number_mould_and_fault(shop: FakeShop) -> None:
    for text in ("k-030", "m07", "STICKING"):
        assert "/cause?part=K-030" in links(cause.found(shop, text)).values()
    assert "/cause?part=K-031" not in links(cause.found(shop, "k-030")).values()


def test_search_that_finds_nothing_says_so(shop: FakeShop) -> None:
    assert "has “zzz” in its number" in words(cause.found(shop, "zzz"))


def test_enter_opens_the_first_part_found(shop: FakeShop) -> None:
    assert cause.open_first(shop, 1, "k-030") == "?part=K-030"
    assert cause.open_first(shop, 1, "zzz") is no_update
    assert cause.open_first(shop, 1, None) is no_update


def test_fault_by_itself_is_told_from_trade_knowledge(no_log: FakeShop) -> None:
    shown = words(cause.answer(no_log, {"fault": "sticking-patches"}))
    assert "Usual causes" in shown
    assert "Release worn out" in shown


def test_page_without_a_log_shows_every_fault(no_log: FakeShop) -> None:
    shown = cause.answer(no_log, {})
    assert "Columns that sharpen it most" in words(shown)
    faults = [href for href in links(shown).values() if href.startswith("/cause?fault=")]
    assert len(faults) == 18


def test_answer_says_cause_chance_number_and_reach(shop: FakeShop) -> None:
    shown = words(cause.answer(shop, {"part": "K-031"}))
    assert "Release worn out" in shown
    assert "Quite likely: 62 in 100, could be 45 to 76." in shown
    assert "Quite likely 62 in 100 could be 45 to 76" in shown


def test_answer_shows_for_against_and_not_written_down(shop: FakeShop) -> None:
    shown = cause.answer(shop, {"part": "K-031"})
    first = of_class(shown, "first")[0]
    for side, told in (
        ("for", "9 pulls"),
        ("against", "not at the high spots"),
        ("unknown", "whether PVA was used"),
    ):
        assert told in words(of_class(first, side)[0])


def test_weight_of_a_clue_and_where_it_is_from_are_in_words(shop: FakeShop) -> None:
    told = [words(one) for one in of_class(cause.answer(shop, {"part": "K-031"}), "weight")]
    assert told[:3] == ["strong, from your log", "fair, from the trade", "slight, from the trade"]


def test_answer_says_how_much_is_trade_and_how_much_is_log(shop: FakeShop) -> None:
    shown = words(cause.answer(shop, {"part": "K-031"}))
    assert "31 jobs of your log and on trade knowledge worth 12 jobs" in shown


def test_cause_nobody_recorded_has_a_chance_too(shop: FakeShop) -> None:
    shown = of_class(cause.answer(shop, {"part": "K-031"}), "unexplained")[0]
    assert "9 in 100" in words(shown)


def test_answer_says_what_to_do_and_how_to_prevent(shop: FakeShop) -> None:
    shown = words(cause.answer(shop, {"part": "K-031"}))
    for told in (
        "Stop forcing",
        "renew the release on trend",
        "Stuck parts let go suddenly",
        "Only 4 jobs with this release system",
    ):
        assert told in shown


def test_alike_good_part_is_set_beside_it(shop: FakeShop) -> None:
    table = of_class(cause.answer(shop, {"part": "K-031"}), "likes")[0]
    assert "K-027, 20 Feb 2024, same mould" in words(table)
    assert "PVA dried 12 min 40 min" in words(table)


def test_each_result_of_the_next_check_is_one_press(shop: FakeShop) -> None:
    shown = of_class(cause.answer(shop, {"part": "K-031"}), "next-check")[0]
    assert links(shown) == {
        "It peels off easily": "/cause?part=K-031&seen=tape-pull:easy",
        "It pulls hard": "/cause?part=K-031&seen=tape-pull:hard",
        "Not sure, or cannot do it now": "/cause?part=K-031&skip=tape-pull",
    }


def test_passing_over_a_check_brings_the_next_one(shop: FakeShop) -> None:
    shown = of_class(cause.answer(shop, {"part": "K-031", "skip": "tape-pull"}), "next-check")[0]
    assert "Acetone swab" in words(shown)
    assert "Acetone burns" in words(shown)


def test_no_check_is_asked_for_when_all_are_passed_over(shop: FakeShop) -> None:
    query = {"part": "K-031", "skip": "tape-pull,acetone-swab"}
    assert of_class(cause.answer(shop, query), "next-check") == []


def test_what_was_found_moves_the_ranking(shop: FakeShop) -> None:
    before = cause.answer(shop, {"part": "K-031"})
    after = cause.answer(shop, {"part": "K-031", "seen": "tape-pull:easy"})
    tops = [words(of_class(page, "tag-answer")[0]) for page in (before, after)]
    assert tops == ["Release worn out", "Release missed in an area"]


def test_what_was_found_can_be_taken_back(shop: FakeShop) -> None:
    shown = cause.answer(shop, {"part": "K-031", "seen": "tape-pull:easy"})
    assert "Tape-pull test : It peels off easily" in words(of_class(shown, "found")[0])
    assert links(shown)["Take back"] == "/cause?part=K-031"


def test_several_faults_are_one_press_apart(shop: FakeShop) -> None:
    shown = links(cause.answer(shop, {"part": "K-031"}))
    assert shown["Pinholes"] == "/cause?part=K-031&fault=pinholes"
    open_one = cause.answer(shop, {"part": "K-031", "fault": "pinholes"})
    assert "K-031: pinholes" in words(of_class(open_one, "tag-about")[0])


def test_part_with_no_fault_written_is_asked_about_by_picture(shop: FakeShop) -> None:
    shown = cause.answer(shop, {"part": "K-099"})
    assert "What do you see on K-099?" in words(shown)
    assert links(shown)["Pinholes"] == "/cause?part=K-099&say=pinholes"


def test_fault_that_was_picked_is_what_is_asked(shop: FakeShop) -> None:
    cause.answer(shop, {"part": "K-031", "say": "pinholes"})
    assert shop.told[-1] == ("why", "K-031", {}, ("pinholes",))


def test_ranking_without_a_leader_is_not_sold_as_an_answer() -> None:
    shown = words(cause._headline(a_diagnosis(causes=(a_ranked(probability=0.16),))))
    assert "Not clear yet First to look at: Release worn out, 16 in 100" in shown


def test_diagnosis_without_causes_says_so() -> None:
    shown = cause._headline(a_diagnosis(causes=()))
    assert "No cause in the trade knowledge" in words(shown)


def test_long_tail_of_causes_is_folded_away() -> None:
    many = tuple(a_ranked(f"c{k}", 0.1, title=f"Cause {k}") for k in range(9))
    shown = cause.causes(a_diagnosis(causes=many))
    assert "The 4 least likely causes" in words(shown)


def test_confirming_is_kept_and_said(shop: FakeShop) -> None:
    said = cause.confirm(shop, {"part": "K-031", "defect": "d", "cause": "release-worn"})
    assert shop.told == [("confirm", "K-031", "d", "release-worn")]
    assert said.startswith("K-031: “Release worn out” is written down")


def test_confirmed_cause_can_be_taken_back(shop: FakeShop) -> None:
    page = cause.causes(a_diagnosis(causes=(a_ranked(confirmed=True),)))
    assert "confirmed" in words(of_class(page, "stamp")[0])
    assert {
        "type": "withdraw",
        "part": "K-031",
        "defect": "sticking-patches",
        "cause": "release-worn",
    } in ids(page)
    cause.withdraw(shop, {"part": "K-031", "defect": "d", "cause": "release-worn"})
    assert shop.told == [("withdraw", "K-031", "d")]


def test_findings_can_be_written_down(shop: FakeShop) -> None:
    said = cause.observe(shop, {"part": "K-031", "seen": "tape-pull:easy,acetone-swab:soft"})
    assert said == "K-031: 2 findings written down with the part."
    assert shop.told == [
        ("observe", "K-031", "tape-pull", "easy"),
        ("observe", "K-031", "acetone-swab", "soft"),
    ]


# -- the month --


def test_month_says_good_parts_how_sure_and_against_what(shop: FakeShop) -> None:
    shown = words(of_class(month.answer(shop, {"m": "2024-03"}), "tag")[0])
    assert "33 of 46 parts good" in shown
    assert "72 in 100, could be 62 to 82. 2 parts with no result written." in shown


def test_month_is_set_against_others(shop: FakeShop) -> None:
    told = words(of_class(month.answer(shop, {}), "compared")[0])
    assert told == "Fewer good parts than in all earlier months (89 in 100)."


def test_month_without_results_counts_nobody_as_good() -> None:
    shown = words(month.headline(a_review(good=a_share(0, 0), unknown=48)))
    assert "48 parts made, no result written down." in shown
    assert "not counted as good" in shown


def test_signals_say_what_since_when_how_sure_and_which_parts(shop: FakeShop) -> None:
    shown = of_class(month.answer(shop, {}), "signals")[0]
    for told in (
        "Mould",
        "M07",
        "since 4 Mar 2024",
        "1 in 60 to 7 in 19",
        "1 month in 400",
        "The log cannot tell them apart",
    ):
        assert told in words(shown)
    assert links(shown)["K-031"] == "/cause?part=K-031"


def test_quiet_month_is_said_to_be_quiet() -> None:
    shown = words(month.signals(a_review(signals=()), a_knowledge()))
    assert "Nothing stands out" in shown


def test_faults_are_set_against_the_usual(shop: FakeShop) -> None:
    shown = words(of_class(month.answer(shop, {}), "fault-lines")[0])
    assert "Sticking in patches more than usual" in shown
    assert "Could be 10 to 30 in 100; the mark is the usual." in shown


def test_faults_that_did_not_come_up_are_only_named() -> None:
    lines = [*a_review().defects, a_line("cracking", 0), a_line("blisters", 0, "fewer")]
    shown = month.fault_lines(a_review(defects=tuple(lines)), a_knowledge())
    assert words(of_class(shown, "quiet")[0]) == "None of: cracking."
    assert "Blisters fewer than usual" in words(of_class(shown, "fault-lines")[0])


def test_group_says_what_it_is_made_of() -> None:
    line = a_line("sticking", 5, of_which={"sticking-whole": 2, "sticking-patches": 3})
    shown = words(month.fault_lines(a_review(defects=(line,)), a_knowledge()))
    assert "Of these: 2 sticking whole, 3 sticking patches" in shown


@pytest.mark.parametrize(
    ("kind", "subject", "told"),
    [
        ("process", "gelcoat_catalyst_pct", "Gel-coat catalyst"),
        ("process", "air_c", "Shop air"),
        ("defect", "pinholes", "Pinholes"),
        ("mould", "air_c", "air_c"),
        ("reporting", "our own column", "Our own column"),
    ],
)
def test_signals_name_columns_and_faults_by_their_names(kind: str, subject: str, told: str) -> None:
    signal = replace(a_review().signals[0], kind=kind, subject=subject)
    shown = month.signals(a_review(signals=(signal,)), a_knowledge())
    assert told in words(of_class(shown, "signal-about")[0])


def test_cost_nobody_wrote_is_not_nought(shop: FakeShop) -> None:
    shown = words(of_class(month.answer(shop, {}), "tally")[0])
    assert "Cost not written down" in shown
    assert "14.5 hours" in shown


def test_what_cannot_be_told_is_listed(shop: FakeShop) -> None:
    assert "resin lots: only one was used" in words(month.answer(shop, {}))


@pytest.mark.parametrize(
    ("shown", "ways"),
    [
        ("2024-03", {"← February 2024": "/month?m=2024-02"}),
        ("2024-02", {"← December 2023": "/month?m=2023-12", "March 2024 →": "/month?m=2024-03"}),
        ("2023-12", {"February 2024 →": "/month?m=2024-02"}),
    ],
)
def test_months_before_and_after_are_one_press_away(shown: str, ways: dict[str, str]) -> None:
    picker = month.picker(["2024-03", "2024-02", "2023-12"], shown)
    assert links(of_class(picker, "steps")[0]) == ways


def test_all_months_are_listed_by_year() -> None:
    picker = month.picker(["2024-03", "2024-02", "2023-12"], "2024-03")
    assert "2024 Feb Mar 2023 Dec" in words(picker)


def test_month_page_without_a_log_teaches(no_log: FakeShop) -> None:
    assert "Columns that sharpen it most" in words(month.answer(no_log, {}))


# -- catalyst --


def test_dose_is_in_grams_ml_and_percent(shop: FakeShop) -> None:
    shown = words(of_class(catalyst.answer(shop, {"t": "18"}), "tag")[0])
    assert "26.2 g or 22.6 ml in 1.5 kg" in shown
    assert (
        "1.75 % by mass. Gels in about 16 min in the cup; 9 times in 10 from 12 to 22 min" in shown
    )


def test_all_ten_cautions_are_open_to_the_eye(shop: FakeShop) -> None:
    shown = catalyst.answer(shop, {"t": "18"})
    block = of_class(shown, "cautions")[0]
    assert [caution for caution in TEN if caution in words(block)] == list(TEN)
    folded = [one for one in every(shown) if type(one).__name__ == "Details"]
    assert not any(caution in words(folded) for caution in TEN)


def test_chance_is_in_words_and_number(shop: FakeShop) -> None:
    shown = words(of_class(catalyst.answer(shop, {"t": "18"}), "chance")[0])
    assert shown == "Chance it gels in 12 to 20 min Very likely 78 in 100"


def test_where_no_dose_will_do_it_says_what_will() -> None:
    shown = catalyst.instead(an_advice(feasible=False, instead=("Warm the mould to 18 °C.",)))
    assert "Do this instead" in words(shown)
    assert "Warm the mould" in words(shown)


def test_address_is_what_the_shop_is_asked(shop: FakeShop) -> None:
    catalyst.answer(
        shop,
        {"material": "resin", "t": "18,5", "from": "10", "to": "20", "pot": "2.5", "lot": "R40"},
    )
    assert shop.told[-1] == (
        "catalyst",
        {
            "material": "resin",
            "temperature_c": 18.5,
            "window_min": (10.0, 20.0),
            "working_min": None,
            "pot_kg": 2.5,
            "lot": "R40",
        },
    )


def test_half_a_window_is_no_window(shop: FakeShop) -> None:
    catalyst.answer(shop, {"from": "10"})
    assert shop.told[-1][1]["window_min"] is None


def test_question_out_of_range_is_left_to_the_one_place_for_errors(shop: FakeShop) -> None:
    with pytest.raises(QuestionError, match="60 kg"):
        catalyst.answer(shop, {"pot": "60"})


def test_material_is_one_press(shop: FakeShop) -> None:
    shown = links(catalyst.materials("/catalyst", {"t": "18", "lot": "G1"}))
    assert shown == {
        "Gel coat": "/catalyst?t=18&material=gelcoat",
        "Laminating resin": "/catalyst?t=18&material=resin",
    }


BOXES = [{"type": "dose", "name": name} for name in ("t", "pot", "lot")]


def test_form_writes_the_address() -> None:
    made = catalyst.to_address([18, 1.5, None], BOXES, "?material=resin&t=20")
    assert made == "?material=resin&t=18&pot=1.5"


def test_form_that_says_the_same_leaves_the_address_alone() -> None:
    # else every look at the page would add a step to the way back
    assert catalyst.to_address(["18", None, None], BOXES, "?t=18") is no_update
    assert catalyst.to_address([None, None, None], BOXES, "") is no_update


def test_emptied_box_leaves_the_address() -> None:
    assert catalyst.to_address([None, None, None], BOXES, "?material=resin&t=18") == (
        "?material=resin"
    )


def test_form_is_drawn_anew_only_when_the_address_says_something_else() -> None:
    assert catalyst.keep_form("?t=18", [18, None, None], BOXES) is no_update
    assert catalyst.keep_form("?t=18", [], []) is not no_update
    drawn = catalyst.keep_form("?t=18", [20, None, None], BOXES)
    values = {one.id["name"]: one.value for one in every(drawn) if type(one).__name__ == "Input"}
    assert values["t"] == "18"


def test_catalyst_page_without_a_log_asks_for_the_temperature(
    no_log: FakeShop, shop: FakeShop
) -> None:
    assert "Say how warm" in words(catalyst.answer(no_log, {}))
    assert "26.2 g" in words(catalyst.answer(no_log, {"t": "18"}))


# -- the log --


def dropped(text: str = "Job;Day\n") -> str:
    return "data:text/csv;base64," + b64encode(text.encode()).decode()


def looked_at(shop: FakeShop, text: str = "Job;Day\n", name: str = "log.csv") -> Any:
    """The page after a file was dropped on it."""
    waiting = Waiting()
    return dropping.look(shop, waiting, waiting.put([dropped(text)], [name]))


def test_dropping_a_file_keeps_nothing_yet(shop: FakeShop) -> None:
    shown = words(looked_at(shop))
    assert shop.told == [("check", "log.csv")]
    assert "Nothing is kept yet" in shown
    assert "Keep it" in shown
    assert "Leave it" in shown


def test_every_row_of_a_sheet_is_accounted_for(shop: FakeShop) -> None:
    shown = words(looked_at(shop))
    assert "12 rows: 8 parts, 1 repeat of rows above, 3 that hold no record." in shown


def test_problems_say_where_what_expected_and_what_happens(shop: FakeShop) -> None:
    shown = words(looked_at(shop))
    for told in ("Jobs, row 14, “Humidity”", "0.65", "percent from 1 to 100", "type 65"):
        assert told in shown


def test_unknown_column_can_be_placed(shop: FakeShop) -> None:
    assert {"type": "place", "header": "Who knows"} in ids(looked_at(shop))
    dropping.place(shop, "Who knows", "air_c", " F ")
    assert shop.told[-1] == ("place", "Who knows", "air_c", "F")


def test_column_cannot_be_placed_nowhere(shop: FakeShop) -> None:
    with pytest.raises(QuestionError, match="pick it from the list"):
        dropping.place(shop, "Who knows", None, None)


def test_places_to_choose_from_have_names_of_their_own() -> None:
    names, targets = zip(*places(), strict=True)
    assert len(set(names)) == len(set(targets)) == len(names)
    assert names[0] == "Leave it alone"


def test_every_field_of_every_record_is_a_place_to_choose() -> None:
    targets = {target for _, target in places()}
    assert {field.id for field in dictionary().fields} <= targets
    assert "gelcoat.catalyst_pct" in targets


def test_file_with_no_record_cannot_be_kept(shop: FakeShop) -> None:
    shop.nothing_in_it = True
    shown = words(looked_at(shop))
    assert "Keep it" not in shown
    assert "Leave it" in shown


def test_keeping_says_what_was_new(shop: FakeShop) -> None:
    waiting = Waiting()
    said = dropping.keep(shop, waiting, waiting.put([dropped("Job\n")], ["log.csv"]))
    assert shop.told == [("import", b"Job\n")]
    assert said.startswith("8 new records, 1 changed, 2 known already.")


def test_imports_are_listed_newest_first_with_a_way_back(shop: FakeShop) -> None:
    shown = of_class(records.log_answer(shop, {}), "imports")[0]
    assert words(shown).index("5 Feb 2024") < words(shown).index("5 Jan 2024")
    assert ids(shown) == [{"type": "undo", "import": 1}]
    assert "taken back" in words(shown)


def test_import_that_others_build_on_is_refused_in_a_sentence(shop: FakeShop) -> None:
    with pytest.raises(StoreError, match="take that back first"):
        records.undo(shop, {"import": 1})


def test_parts_can_be_filtered(shop: FakeShop) -> None:
    assert "K-031" in words(records.parts_table(shop, "k-031", {}))
    assert "1 part" in words(records.parts_table(shop, "k-031", {}))
    assert "K-031" not in words(records.parts_table(shop, "k-030", {}))


def test_log_page_without_a_log_teaches(no_log: FakeShop) -> None:
    assert "no need to tidy it first" in words(records.log_answer(no_log, {}))


# -- what a log says is only ever text --


def pages_with_hostile_words(shop: FakeShop) -> list[Any]:
    return [
        home.latest(shop, {}),
        cause.answer(shop, {}),
        cause.answer(shop, {"part": HOSTILE}),
        cause.found(shop, HOSTILE),
        cause.answer(shop, {"part": "K-031", "pick": "1"}),
        month.answer(shop, {}),
        records.log_answer(shop, {}),
        looked_at(shop, name=HOSTILE),
    ]


def test_hostile_words_reach_the_page_as_text(shop: FakeShop) -> None:
    for page in pages_with_hostile_words(shop)[:3]:
        assert HOSTILE in words(page)


def test_nothing_on_a_page_reads_text_as_anything_else(shop: FakeShop) -> None:
    kinds = {
        type(one).__name__
        for page in pages_with_hostile_words(shop)
        for one in every(page)
        if not isinstance(one, str)
    }
    assert not kinds & {"Markdown", "DangerouslySetInnerHTML", "Iframe", "Script", "ObjectEl"}


def test_hostile_words_cannot_leave_the_address(shop: FakeShop) -> None:
    for page in pages_with_hostile_words(shop):
        for href in links(page).values():
            assert href.startswith("/")
            assert not href.startswith("//")
            assert "<" not in href
