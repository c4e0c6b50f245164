"""`laylog action` and `laylog month --report`: written down, listed, followed, taken back."""

from __future__ import annotations

from pathlib import Path

from tests.cli.running import one_sentence, run

NAME = "three thin wax coats"


def test_an_action_is_written_down_followed_and_taken_back(own_store: Path) -> None:
    said = run("action", NAME, "--since", "2025-01-15", "--hope", "Sticking", "--store", own_store)
    assert said.code == 0
    assert said.words == f"Written down: {NAME}, since 2025-01-15, hoping for less sticking."
    listed = run("action", "--store", own_store, "--json").json["actions"]
    assert [(one["action"], one["hope"]) for one in listed] == [(NAME, ["sticking"])]
    assert listed[0]["verdict"] in ("yes", "no", "not yet")
    month = run("month", "2025-04", "--store", own_store)
    assert "Did it work?" in month.out
    assert NAME in month.out
    assert run("action", NAME, "--withdraw", "--store", own_store).code == 0
    assert run("action", "--store", own_store, "--json").json == {"actions": []}
    assert "Did it work?" not in run("month", "2025-04", "--store", own_store).out


def test_the_same_action_is_not_written_down_twice(own_store: Path) -> None:
    assert run("action", NAME, "--store", own_store).code == 0
    assert "written down already" in one_sentence(run("action", NAME, "--store", own_store))


def test_what_cannot_be_followed_is_refused_with_what_can(own_store: Path) -> None:
    fault = one_sentence(run("action", NAME, "--hope", "gremlins", "--store", own_store))
    assert fault.startswith('no fault is called "gremlins". Faults: ')
    mould = one_sentence(run("action", NAME, "--moulds", "M99", "--store", own_store))
    assert mould.startswith("the log has no mould M99. Moulds: ")
    day = one_sentence(run("action", NAME, "--since", "last week", "--store", own_store))
    assert day == '"last week" is not a day: write it like 2026-03-01.'
    none = one_sentence(run("action", NAME, "--withdraw", "--store", own_store))
    assert none.startswith(f'no action is called "{NAME}"')


def test_nothing_written_down_says_how(tmp_path: Path) -> None:
    assert "No action is written down yet." in run("action", "--store", tmp_path / "new").out


def test_a_month_is_written_as_a_page(sample_store: Path, tmp_path: Path) -> None:
    page = tmp_path / "april.html"
    ran = run("month", "2025-04", "--report", page, "--store", sample_store)
    assert ran.code == 0
    assert ran.words == f"{page} is written: open it in a browser and print it."
    assert "<h1>How April 2025 went</h1>" in page.read_text("utf-8")


def test_a_page_that_cannot_be_written_is_said(sample_store: Path, tmp_path: Path) -> None:
    nowhere = tmp_path / "no" / "folder.html"
    ran = run("month", "2025-04", "--report", nowhere, "--store", sample_store)
    assert one_sentence(ran).startswith(f"{nowhere} cannot be written: ")


def test_no_page_is_written_over_a_log(sample_store: Path, tmp_path: Path) -> None:
    log = tmp_path / "jobs.xlsx"
    log.write_bytes(b"the shop's own book")
    ran = run("month", "2025-04", "--report", log, "--store", sample_store)
    assert one_sentence(ran) == "jobs.xlsx is no page's name: it must end in .html."
    assert log.read_bytes() == b"the shop's own book"


def test_a_month_is_written_as_tables(sample_store: Path, tmp_path: Path) -> None:
    table = tmp_path / "april.csv"
    ran = run("month", "2025-04", "--table", table, "--store", sample_store, "--json")
    assert ran.json == {"table": str(table)}
    assert table.read_text("utf-8").startswith("table,month,what,")
    again = run("month", "2025-04", "--table", table, "--store", sample_store)
    assert "is there already" in one_sentence(again)


def test_an_action_has_a_name_short_enough_to_print(own_store: Path) -> None:
    said = one_sentence(run("action", "x" * 10_000, "--store", own_store))
    assert said.startswith("10,000 letters are too many")


def test_the_month_has_its_causes_totals_and_news(sample_store: Path) -> None:
    answer = run("month", "2025-04", "--store", sample_store, "--json").json
    assert sum(line["expected"] for line in answer["causes"]) > 5
    assert all(line["low"] <= line["high"] for line in answer["causes"])
    assert next(one["period"] for one in answer["totals"]) == "April 2025"
    assert {signal["new"] for signal in answer["signals"]} <= {True, False}
    assert {chart["kind"] for chart in answer["charts"]} >= {"u", "cusum"}
