"""A question to a store that is not there: a sentence that says how to begin, and nothing made."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import one_sentence, run

QUESTIONS = (
    ("why", "P1"),
    ("why", "--failed"),
    ("month",),
    ("records",),
    ("export", "parts.csv"),
    ("confirm", "P1", "too-cold"),
    ("health",),
    ("backup", "copy.laylog-backup"),
    ("action", "three coats"),
)


@pytest.mark.parametrize("asked", QUESTIONS, ids=" ".join)
def test_a_mistyped_store_is_told_and_not_made(
    asked: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    missing = tmp_path / "shops" / "shpo.laylog"
    sentence = one_sentence(run(*asked, "--store", missing))
    assert sentence == (
        f"there is no store at {missing}. Check the name, or begin one by reading a log in: "
        "laylog import FILE."
    )
    assert list(tmp_path.iterdir()) == []


def test_the_first_question_of_all_tells_how_to_begin(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("LAYLOG_STORE", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert "begin one by reading a log in" in one_sentence(run("why", "P1"))
    assert list(tmp_path.iterdir()) == []


def test_a_mistyped_address_of_a_file_is_told_as_well(tmp_path: Path) -> None:
    missing = tmp_path / "shpo.laylog"
    assert "there is no store" in one_sentence(run("month", "--store", f"sqlite:///{missing}"))
    assert not missing.exists()


@pytest.mark.postgresql
def test_an_empty_database_is_told_and_left_empty(request: pytest.FixtureRequest) -> None:
    import sqlalchemy as sa

    url = request.getfixturevalue("new_postgresql")()
    assert "there is no store" in one_sentence(run("month", "--store", url))
    engine = sa.create_engine(url)
    assert sa.inspect(engine).get_table_names() == []
    engine.dispose()


@pytest.mark.parametrize(
    "asked",
    [
        ("catalyst", "--temperature", "20", "--gel", "12-20"),
        ("plan", "--area", "1.9", "--plies", "225+2x450", "--temperature", "20"),
        ("compare", "--list"),
        ("trial", "list"),
        ("action",),
    ],
    ids=lambda asked: asked[0],
)
def test_the_trade_answers_without_a_store_and_makes_none(
    asked: tuple[str, ...], tmp_path: Path
) -> None:
    ran = run(*asked, "--store", tmp_path / "shops" / "shop.laylog")
    assert ran.code in (0, 1), ran
    assert ran.out
    assert list(tmp_path.iterdir()) == []


def test_a_dose_set_begins_a_store_since_it_is_to_be_kept(tmp_path: Path) -> None:
    store = tmp_path / "shop.laylog"
    run("catalyst", "--temperature", "20", "--gel", "12-20", "--set", "--store", store)
    assert store.exists()


def test_reading_a_log_in_begins_a_store(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("Part no,Date,Faults\nP1,2024-03-04,stuck\n", encoding="utf-8")
    store = tmp_path / "shops" / "shop.laylog"
    run("import", log, "--store", store)
    assert run("why", "P1", "--store", store).code == 0
