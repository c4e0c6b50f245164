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
    "two wishes": (("--temperature", "20", "--working", "9", "--gel", "9-12"), "not both"),
    "nothing logged": ((), "no temperature is logged"),
}  # fmt: skip


@pytest.mark.parametrize(("asked", "says"), NONSENSE.values(), ids=NONSENSE)
def test_a_nonsense_value_is_refused_in_one_sentence(asked: tuple[str, ...], says: str) -> None:
    assert says in one_sentence(run("catalyst", *asked))
