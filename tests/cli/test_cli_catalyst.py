"""Whatever is asked of `laylog catalyst`, the ten cautions stand on the same screen as the dose."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import one_sentence, run

# What a screen with a dose on it must say: common practice, no published source, but for the
# hazards of peroxides, which are those of ICSC 1028 and HSE CS21.
TEN = {
    "the data sheet's range rules": ("Range in force", "data sheet and safety sheet overrule"),
    "dose by mass and ml, not drops": ("% by mass", " ml for this pot", "never by drops alone"),
    "floor and cap": ("Never below", "or above", "is not tested"),
    "cup test": ("Cup-test first", "more than 25 %, stop"),
    "eyes, and no accelerator": ("goggles and gloves", "Never mix catalyst and accelerator",
                                 "add no promoter"),
    "mix size and leftovers": ("Mix no more than", "leftover", "never pour leftovers back"),
    "warm, do not dose": ("Below 15", "above 30", "change the temperature or wait"),
    "how sure": ("Rests on", "not approval: a competent person decides", "local rules"),
    "only MEKP": ("not for BPO, CHP or AAP", "food contact", "structural"),
    "write it down": ("Write down the dose",),
}  # fmt: skip
QUESTIONS = {
    "in the window": ("--temperature", "20", "--gel", "12-20"),
    "too cold": ("--temperature", "5", "--gel", "12-20"),
    "too hot": ("--temperature", "35", "--gel", "12-20"),
    "resin by working time": ("--material", "resin", "--temperature", "20", "--working", "15"),
    "an unknown lot": ("--temperature", "20", "--lot", "nobody's"),
    "a data sheet": ("--temperature", "20", "--sheet-range", "1-3", "--sheet", "GC 7, May 2024"),
}


@pytest.mark.parametrize("filled", [True, False], ids=["sample log", "empty log"])
@pytest.mark.parametrize("asked", QUESTIONS.values(), ids=QUESTIONS)
def test_the_ten_cautions_stand_in_text_and_json(
    asked: tuple[str, ...], filled: bool, sample_store: Path, tmp_path: Path
) -> None:
    store = sample_store if filled else tmp_path / "empty.laylog"
    shown = run("catalyst", *asked, "--store", store)
    told = run("catalyst", *asked, "--json", "--store", store).json["cautions"]
    assert shown.code == 0
    for must in TEN.values():
        assert all(phrase in shown.words for phrase in must)
        assert any(all(phrase in caution for phrase in must) for caution in told)


# The words that are a sheet's or a list's own in place of one pot's.
OF_ONE_POT = {" ml for this pot"}
OTHER_SCREENS = {
    "the year": ("catalyst", "--season"),
    "doses set": ("catalyst", "--set-before"),
    "a cup test": ("cup", "--lot", "X-1", "--temperature", "19", "--dose", "2%", "--gel", "14"),
}


@pytest.mark.parametrize("filled", [True, False], ids=["sample log", "empty log"])
@pytest.mark.parametrize("asked", OTHER_SCREENS.values(), ids=OTHER_SCREENS)
def test_the_ten_cautions_stand_wherever_a_dose_does(
    asked: tuple[str, ...], filled: bool, own_store: Path, tmp_path: Path
) -> None:
    store = own_store if filled else tmp_path / "empty.laylog"
    shown = run(*asked, "--store", store)
    told = run(*asked, "--json", "--store", store).json["cautions"]
    assert shown.code == 0
    for must in TEN.values():
        words = [phrase for phrase in must if phrase not in OF_ONE_POT]
        assert all(phrase in shown.words for phrase in words)
        assert any(all(phrase in caution for phrase in words) for caution in told)


@pytest.mark.parametrize("asked", QUESTIONS.values(), ids=QUESTIONS)
def test_the_dose_stays_inside_the_range_in_force(
    asked: tuple[str, ...], sample_store: Path
) -> None:
    advice = run("catalyst", *asked, "--json", "--store", sample_store).json
    assert advice["limits"]["low"] <= advice["catalyst_pct"] <= advice["limits"]["high"]


@pytest.mark.parametrize("degrees", ["5", "14.9", "30.1", "35"])
def test_outside_15_to_30_degrees_it_says_what_to_do_instead(
    degrees: str, sample_store: Path
) -> None:
    asked = ("catalyst", "--temperature", degrees, "--store", sample_store)
    advice = run(*asked, "--json").json
    shown = run(*asked).words
    assert advice["feasible"] is False
    assert advice["instead"]
    assert "Do this instead" in shown
    assert "Use " not in shown.split("Do this instead")[0]


def test_with_no_log_it_says_that_it_rests_on_no_gel_time_of_this_shop() -> None:
    shown = run("catalyst", "--temperature", "20")
    assert "Logged gel times behind this: 0" in shown.words
    assert "Rests on no gel time of this shop" in shown.words


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [("20", 20.0), ("20,5", 20.5), ("20 °C", 20.0), ("68F", 20.0), ("68 °F", 20.0)],
)
def test_a_temperature_may_be_typed_as_the_thermometer_shows_it(
    typed: str, celsius: float, sample_store: Path
) -> None:
    asked = ("catalyst", "--temperature", typed, "--json", "--store", sample_store)
    assert run(*asked).json["temperature_c"] == pytest.approx(celsius)


def test_logged_takes_the_last_temperature_of_the_log_and_says_how_old_it_is(
    sample_store: Path,
) -> None:
    ran = run("catalyst", "--temperature", "logged", "--store", sample_store)
    assert "logger, 2026-02-28" in ran.words
    assert "not from today" in ran.words


NONSENSE = {
    "°F as °C": (("--temperature", "70"), "21.1 °C"),
    "no figure": (("--temperature", "warm"), '"warm"'),
    "no number": (("--temperature", "nan"), '"nan"'),
    "negative pot": (("--temperature", "20", "--pot", "-1"), "-1 kg"),
    "grams as kilograms": (("--temperature", "20", "--pot", "1500"), "1.5 kg"),
    "window upside down": (("--temperature", "20", "--gel", "20-12"), "upside down"),
    "one figure for a window": (("--temperature", "20", "--gel", "15"), '"15"'),
    "range too high for MEKP": (("--temperature", "20", "--sheet-range", "1-9"), "never above 4"),
    "range without its sheet": (("--temperature", "20", "--sheet-range", "1-3"), "data sheet"),
    "another peroxide": (("--temperature", "20", "--initiator", "BPO"), "MEKP only"),
    "no such material": (("--temperature", "20", "--material", "paint"), "gelcoat, resin"),
    "density of water and more": (("--temperature", "20", "--density", "5"), "safety data sheet"),
    "working time below nothing": (("--temperature", "20", "--working", "-3"), "-3 min"),
    "dose over the range": (("--temperature", "20", "--dose", "3"), "outside 1 to 2.5 %"),
    "ml per kg as %": (("--temperature", "20", "--dose", "20"), "20 ml/kg is 2.3 %"),
    "a volume as a dose": (("--temperature", "20", "--dose", "20 ml"), '"20 ml"'),
    "a data sheet in °F": (("--sheet-gel", "15", "77", "1.8", "--temperature", "20"), "25.0 °C"),
    "food without a sheet": (("--temperature", "20", "--for", "food"), "without its data sheet"),
    "classed without a sheet": (("--temperature", "20", "--for", "classed"), "data sheet"),
    "topcoat": (("--temperature", "20", "--material", "topcoat"), "follow its data sheet"),
    "another peroxide for the year": (("--season", "--initiator", "AAP"), "MEKP only"),
    "two wishes": (("--temperature", "20", "--working", "9", "--gel", "9-12"), "not both"),
    "nothing logged": ((), "no temperature is logged"),
}  # fmt: skip


@pytest.mark.parametrize(("asked", "says"), NONSENSE.values(), ids=NONSENSE)
def test_a_nonsense_value_is_refused_in_one_sentence(asked: tuple[str, ...], says: str) -> None:
    assert says in one_sentence(run("catalyst", *asked))


def test_a_data_sheet_is_asked_for_first_and_taken() -> None:
    blind = run("catalyst", "--temperature", "20")
    told = run("catalyst", "--temperature", "20", "--sheet-gel", "30", "77F", "1.8%", "--json").json
    assert "Give your data sheet's gel time first" in blind.words.split("Use ")[0]
    assert told["ask_first"] is None
    assert told["gel_min"]["median"] > 30


@pytest.mark.parametrize(("at_c", "first"), [("5", "Too cold to mix: warm"), ("35", "Too hot")])
def test_outside_15_to_30_the_first_word_is_not_a_dose(
    sample_store: Path, at_c: str, first: str
) -> None:
    shown = run("catalyst", "--temperature", at_c, "--store", sample_store).out
    assert first in shown
    assert "Use " not in shown.split("Always:")[0]


@pytest.mark.parametrize("also", [("--set",), ("--dose", "2"), ("--temperature", "18")])
def test_the_year_refuses_what_is_asked_of_one_pot(
    sample_store: Path, also: tuple[str, ...]
) -> None:
    said = one_sentence(run("catalyst", "--season", *also, "--store", sample_store))
    assert said.startswith("--season works out a dose for every month")


def test_the_year_has_every_month_and_says_where_nothing_is_logged(sample_store: Path) -> None:
    ran = run("catalyst", "--season", "--store", sample_store)
    months = run("catalyst", "--season", "--json", "--store", sample_store).json["months"]
    assert [month["month"] for month in months] == list(range(1, 13))
    assert all(name in ran.out for name in ("Jan", "Jun", "Dec"))
    assert "Hours of work:" in ran.words
    empty = run("catalyst", "--season")
    assert empty.words.count("not logged") == 12


def test_a_dose_set_is_written_down_and_followed_up(own_store: Path) -> None:
    def asked(*more: str) -> tuple[str, ...]:
        return ("catalyst", "--temperature", "20", "--dose", "2", *more, "--store", str(own_store))

    set_it = run(*asked("--set"))
    assert "Written down: you set this dose." in set_it.words
    run(
        "cup", "--lot", "", "--temperature", "20", "--dose", "2", "--gel", "3", "--store", own_store
    )
    (one,) = run("catalyst", "--set-before", "--json", "--store", own_store).json["set"]
    assert one["catalyst_pct"] == 2.0
    assert one["outcome"]["verdict"] == "sooner"
    assert "it gelled in 3 min (sooner)" in run(*asked()).words


def test_a_cup_test_takes_from_the_last_mix_what_was_not_typed(own_store: Path) -> None:
    ran = run("cup", "--gel", "16", "--json", "--store", own_store)
    assert ran.code == 0
    assert ran.json["lot"]
    assert len(ran.json["taken_from_last_mix"]) == 3
    kept = run("cup", "--gel", "16", "--store", own_store)
    assert "from the last mix" in kept.words
    assert "Kept as mix CUP-" in kept.words


def test_a_cup_far_off_says_stop_and_check(own_store: Path) -> None:
    ran = run("cup", "--temperature", "20", "--dose", "2", "--gel", "60", "--store", own_store)
    assert "Stop and check: more than 25 % slower than expected" in ran.words


def test_a_second_cup_is_judged_with_the_first_one_in_mind(own_store: Path) -> None:
    cup = ("cup", "--lot", "NEW-9", "--temperature", "20", "--dose", "2", "--gel", "22", "--json",
           "--store", own_store)  # fmt: skip
    first = run(*cup).json
    assert first["offset"]["cups"] == 1
    assert first["limits"]["low"] > 0


BAD_CUPS = {
    "nothing to go by": (("--gel", "14"), "how warm resin and cup were"),
    "no gel time": (("--temperature", "19"), "--gel"),
    "hours": (("--gel", "900", "--temperature", "19", "--dose", "2"), "no gel time"),
    "ml per kg": (("--gel", "14", "--temperature", "19", "--dose", "20"), "ml/kg is 2.3 %"),
    "°F as °C": (("--gel", "14", "--temperature", "66", "--dose", "2"), "18.9 °C"),
    "another material": (("--gel", "14", "--material", "epoxy"), "epoxy"),
}


@pytest.mark.parametrize(("asked", "says"), BAD_CUPS.values(), ids=BAD_CUPS)
def test_a_bad_cup_is_refused_in_one_sentence(asked: tuple[str, ...], says: str) -> None:
    assert says in one_sentence(run("cup", *asked))
