"""The log goes on: headings are placed, rows corrected, causes found, the shop's own rules set."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import pytest

from analytics.records.store import Store
from tests.cli.running import one_sentence, run

HEADINGS = ("Part no", "Date", "Mould", "Stuff", "Catalyst gelcoat %", "Faults")
ROWS = (
    ("P1", "4 March 2024", "M1", "66", "1.9", "ok"),
    ("P2", "5 March 2024", "M1", "64", "1.8", "stuck"),
    ("P3", "6 March 2024", "M1", "59", "2.3", "pinholes"),
)

OWN_CAUSE = """
[cause.glitter-in-gelcoat]
title = "Glitter flake in the gel coat"
what = "Flake holds air."
scope = "mix"
record = "Flake noted."
check_text = "Look with a loupe."
mend = "Fill and polish."
prevent = "Let it rest."
levels = { pinholes = 2 }
"""


def a_book(path: Path, rows: Sequence[Sequence[str]] = ROWS) -> Path:
    path.write_text("\n".join(",".join(row) for row in (HEADINGS, *rows)) + "\n")
    return path


def air_of(part: str) -> float | None:
    parts = {p["part_id"]: p for p in run("records", "--json").json["parts"]}
    value: float | None = parts[part]["air_c"]
    return value


def test_a_heading_is_placed_once_and_remembered(bench: Path) -> None:
    book = a_book(bench / "march.csv")
    first = run("import", book)
    assert first.code == 1
    assert 'laylog place "Stuff"' in first.words
    assert air_of("P1") is None

    assert run("place", "Stuff", "air_c", "--unit", "F").code == 0
    assert run("import", book).code == 0
    assert air_of("P1") == pytest.approx(18.9, abs=0.05)

    april = a_book(bench / "april.csv", [("Q1", "3 April 2024", "M1", "68", "1.9", "ok")])
    assert run("import", april).code == 0
    assert air_of("Q1") == 20.0


def test_a_column_left_alone_is_not_asked_about_again(bench: Path) -> None:
    book = a_book(bench / "march.csv")
    assert run("place", "Stuff", "ignore").code == 0
    ran = run("check", book)
    assert ran.code == 0
    assert "Stuff" not in ran.words


def test_reading_the_same_file_again_changes_nothing(bench: Path) -> None:
    book = a_book(bench / "march.csv")
    run("import", book)
    before = run("records", "--json").out
    again = run("import", book)
    assert "0 new records, 0 filled in or corrected" in again.words
    assert run("records", "--json").out == before


def test_a_corrected_row_updates_the_record_and_the_history_keeps_the_old(bench: Path) -> None:
    run("place", "Stuff", "air_c", "--unit", "F")
    run("import", a_book(bench / "march.csv"))
    right = [("P1", "4 March 2024", "M1", "68", "1.9", "ok"), *ROWS[1:]]
    ran = run("import", a_book(bench / "march.csv", right))
    assert "0 new records, 1 filled in or corrected" in ran.words
    assert air_of("P1") == 20.0
    with Store.open(str(bench / "shop.laylog"), now=datetime(2024, 4, 1)) as store:
        (change,) = [c for c in store.history("part") if c.field == "air_c"]
    assert (float(change.old or 0), float(change.new or 0)) == pytest.approx((18.9, 20), abs=0.05)


def test_an_old_copy_in_a_folder_does_not_bring_back_what_was_corrected(bench: Path) -> None:
    run("place", "Stuff", "air_c", "--unit", "F")
    folder = bench / "backup"
    folder.mkdir()
    a_book(folder / "march.csv")
    run("import", folder)
    right = [("P1", "4 March 2024", "M1", "68", "1.9", "ok"), *ROWS[1:]]
    run("import", a_book(bench / "march.csv", right))
    assert air_of("P1") == 20.0
    run("import", folder)
    assert air_of("P1") == 20.0


def test_a_cause_is_confirmed_and_taken_back(bench: Path) -> None:
    run("import", a_book(bench / "march.csv"))

    def first() -> dict[str, object]:
        (answer,) = run("why", "P2", "--json").lines
        cause: dict[str, object] = answer["causes"][0]
        return cause

    assert not first()["confirmed"]
    assert run("confirm", "p2", "poor-draft").code == 0
    assert (first()["cause"], first()["probability"]) == ("poor-draft", 1.0)
    assert "(confirmed)" in run("why", "P2").out
    assert run("confirm", "P2", "--withdraw").code == 0
    assert not first()["confirmed"]


def test_a_confirmed_cause_nobody_thought_of_still_comes_first(bench: Path) -> None:
    run("import", a_book(bench / "march.csv"))
    (before,) = run("why", "P2", "--json").lines
    assert "gelcoat-old" not in [cause["cause"] for cause in before["causes"]]
    run("confirm", "P2", "gelcoat-old")
    (after,) = run("why", "P2", "--json").lines
    assert after["causes"][0]["cause"] == "gelcoat-old"
    assert after["causes"][0]["probability"] == 1.0
    assert after["unexplained"] == 0


def test_what_was_found_by_the_shops_own_file_waits_while_that_file_is_away(bench: Path) -> None:
    run("import", a_book(bench / "march.csv"))
    (bench / "ours.toml").write_text(OWN_CAUSE)
    asked = ("why", "P3", "--json")
    run("confirm", "P3", "glitter-in-gelcoat", "--knowledge", "ours.toml")
    (without,) = run(*asked).lines
    (beside,) = run(*asked, "--knowledge", "ours.toml").lines
    assert not any(cause["confirmed"] for cause in without["causes"])
    assert beside["causes"][0]["cause"] == "glitter-in-gelcoat"
    assert beside["causes"][0]["confirmed"]


def test_the_shops_own_file_sets_its_own_limit(bench: Path) -> None:
    ours = bench / "ours.toml"
    ours.write_text("[limit.gelcoat-catalyst]\nflag_low = 1.4\nflag_high = 2.0\n")
    asked = ("catalyst", "--temperature", "20", "--json")
    assert run(*asked).json["limits"]["high"] == 2.5
    own = run(*asked, "--knowledge", ours).json
    assert (own["limits"]["low"], own["limits"]["high"]) == (1.4, 2.0)
    assert "this shop's own rule" in own["limits"]["source"]
    assert "trade" not in own["limits"]["source"]


def test_the_shops_own_word_for_a_fault_is_read(bench: Path) -> None:
    book = a_book(bench / "march.csv", [("P9", "4 March 2024", "M1", "66", "1.9", "welded on")])
    run("place", "Stuff", "ignore")
    assert run("check", book).code == 1
    (bench / "ours.toml").write_text('[defect.sticking-whole]\nwords = ["welded on"]\n')
    assert run("import", book, "--knowledge", "ours.toml").code == 0
    (answer,) = run("why", "P9", "--json").lines
    assert answer["defect"] == "sticking-whole"


def test_all_mistakes_of_a_knowledge_file_are_listed_at_once(bench: Path) -> None:
    (bench / "ours.toml").write_text(
        "[limit.gelcoat-catalyst]\nhigh = \"lots\"\n"
        "[cause.too-cold]\nmendd = \"warm it\"\n"
        "[defect.gremlins]\nwords = [\"gremlins\"]\n"
    )  # fmt: skip
    ran = run("month", "--knowledge", "ours.toml")
    assert ran.code == 2
    for where in ("ours.toml, line 2", "ours.toml, line 4", "defect gremlins"):
        assert where in ran.err


def test_a_store_from_another_bench_is_left_alone(bench: Path) -> None:
    run("import", a_book(bench / "march.csv"))
    other = bench / "other.laylog"
    sentence = one_sentence(run("why", "P2", "--store", other))
    assert "there is no store at" in sentence
    assert "other.laylog" in sentence
    assert not other.exists()
    assert run("why", "P2").code == 0
