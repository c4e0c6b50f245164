"""`laylog plan`: a part planned on the terminal, from the sample logs and from no log at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import one_sentence, run
from tests.cli.test_cli_catalyst import TEN

TRADE = ("plan", "--area", "1", "--temperature", "20", "--date", "2026-03-02")
SAMPLE = ("plan", "--mould", "tl1", "--temperature", "19", "--date", "2026-03-02")


def test_with_no_log_a_part_is_planned_from_trade_figures() -> None:
    ran = run(*TRADE)
    assert ran.code == 0
    for said in ("225 + 2x450 g/m2", "Before you start", "Cut and weigh", "Mixes", "By the clock",
                 "trade figure", "usual schedule of the trade"):  # fmt: skip
        assert said in ran.words
    assert "your log" not in ran.words


def test_with_the_sample_logs_its_waits_are_the_shops_own(sample_store: Path) -> None:
    told = run(*SAMPLE, "--json", "--store", sample_store).json
    assert told["mould_id"] == "TL-1"
    assert told["area_m2"] == pytest.approx(1.9)
    assert told["schedule"] == "300 + 2x450"  # planted: 300 first, and 1.2 kg/m2 of glass
    learnt = {step["id"]: step["jobs"] for step in told["timeline"]}
    assert min(learnt[name] for name in ("film", "ready", "lay-1", "demould")) > 100
    assert 2.2 < told["materials"]["resin_to_glass"]["usual"] < 2.6
    assert 2.0 < told["materials"]["thickness_mm"]["usual"] < 3.5
    assert told["risks"]
    assert told["jobs_used"] == 607


def test_worn_release_raises_the_risk_of_sticking(sample_store: Path) -> None:
    # planted: TL-1 sticks mostly from the seventh pull on
    asked = (*SAMPLE, "--json", "--wax-coats", "0", "--store", sample_store)
    chances = []
    for pulls in ("1", "9"):
        risks = run(*asked, "--pulls", pulls).json["risks"]
        chances.append(next(r["probability"] for r in risks if r["defect"] == "sticking"))
    assert chances[1] > 1.5 * chances[0]


def test_each_mix_has_its_catalyst_inside_the_sheets_range(sample_store: Path) -> None:
    told = run(*SAMPLE, "--json", "--store", sample_store).json
    for dose in told["doses"]:
        pots = [mix for mix in told["mixes"] if mix["material"] == dose["material"]]
        assert pots
        for mix in pots:
            assert dose["limits"]["low"] <= mix["catalyst_pct"] <= dose["limits"]["high"]
            assert mix["work_min"] <= mix["working_min"]


@pytest.mark.parametrize("filled", [True, False], ids=["sample log", "empty log"])
def test_the_ten_cautions_stand_with_the_doses(
    filled: bool, sample_store: Path, tmp_path: Path
) -> None:
    store = sample_store if filled else tmp_path / "empty.laylog"
    shown = run(*(SAMPLE if filled else TRADE), "--store", store)
    told = run(*(SAMPLE if filled else TRADE), "--json", "--store", store).json["cautions"]
    for must in TEN.values():
        assert all(phrase in shown.words for phrase in must)
        assert any(all(phrase in caution for phrase in must) for caution in told)


def test_stop_in_the_checks_ends_with_code_1(sample_store: Path) -> None:
    # 20 °C and 90 % is 1.7 °C over the dew point
    assert run(*SAMPLE, "--humidity", "90", "--store", sample_store).code == 1
    assert run(*SAMPLE, "--humidity", "60", "--store", sample_store).code == 0


def test_logged_takes_the_loggers_usual_course(sample_store: Path) -> None:
    asked = ("plan", "--mould", "TL-1", "--date", "2026-07-10", "--store", sample_store)
    ran = run(*asked, "--temperature", "logged")
    assert "the logger's usual course around 10 Jul" in ran.words
    cold = run("plan", "--mould", "TL-1", "--date", "2026-01-10", "--store", sample_store)
    assert "polyester may gel and still never cure" in one_sentence(cold)


def test_us_ounces_and_fahrenheit_are_read() -> None:
    ran = run("plan", "--area", "10.764 ft2", "--plies", "3/4 oz + 2 x 1.5 oz",
              "--temperature", "68F", "--json")  # fmt: skip
    assert ran.json["area_m2"] == pytest.approx(1.0, abs=0.001)
    assert ran.json["schedule"] == "225 + 2x450"
    assert ran.json["temperature_c"] == pytest.approx(20.0)


def test_late_start_says_what_moves_to_tomorrow() -> None:
    ran = run(*TRADE, "--start", "14:00", "--wax-coats", "2")
    assert "go to tomorrow, from 08:00" in ran.words
    assert run(*TRADE, "--start", "14:00", "--json").json["fits"] is False


NONSENSE = {
    "negative area": (("--area", "-1", "--temperature", "20"), "-1 m2 cannot be"),
    "no area": (("--temperature", "20"), "how large"),
    "unknown mould": (("--mould", "Z9", "--temperature", "20"), "Z9"),
    "°F as °C": (("--area", "1", "--temperature", "70"), "21.1 °C"),
    "too cold": (("--area", "1", "--temperature", "12"), "Warm resin, mould and shop"),
    "too hot": (("--area", "1", "--temperature", "33"), "Cool resin, mould and shop"),
    "dose over the range": (
        ("--area", "1", "--temperature", "20", "--resin-dose", "3"), "outside 1 to 2.5 %"),
    "no schedule": (("--area", "1", "--temperature", "20", "--plies", "thick"), "thick"),
    "no clock": (("--area", "1", "--temperature", "20", "--start", "noonish"), "noonish"),
    "no date": (("--area", "1", "--temperature", "20", "--date", "today-ish"), "today-ish"),
    "nothing logged": (("--area", "1"), "measure resin and mould"),
}  # fmt: skip


@pytest.mark.parametrize(("asked", "says"), NONSENSE.values(), ids=NONSENSE)
def test_a_nonsense_value_is_refused_in_one_sentence(asked: tuple[str, ...], says: str) -> None:
    assert says in one_sentence(run("plan", *asked))
