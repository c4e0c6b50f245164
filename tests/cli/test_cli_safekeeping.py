"""`laylog backup`, `restore` and `health` from the terminal; a dry run that leaves no store."""

from __future__ import annotations

from pathlib import Path

from tests.cli.running import one_sentence, run

LOG = "Part,Date,Mould,Result\nP1,13/03/2024,M1,stuck\nP2,14/03/2024,M1,ok\n"


def _shop(folder: Path) -> Path:
    (folder / "log.csv").write_text(LOG)
    assert run("import", "log.csv").code in (0, 1)
    return folder / "shop.laylog"


def test_backup_says_what_it_holds_and_how_to_put_it_back(tmp_path: Path) -> None:
    _shop(tmp_path)
    ran = run("backup", "friday.laylog-backup")
    assert ran.code == 0
    assert "Backed up and checked: 2 parts in" in ran.words
    assert "laylog restore" in ran.words
    assert run("backup", "friday.laylog-backup", "--json").json["rows"]["part"] == 2


def test_backup_goes_into_a_new_store_at_once_and_into_a_full_one_when_asked(
    tmp_path: Path,
) -> None:
    _shop(tmp_path)
    run("backup", "friday.laylog-backup")
    ran = run("restore", "friday.laylog-backup", "--store", "new.laylog")
    assert (ran.code, "Put back: 2 parts in new.laylog." in ran.words) == (0, True)
    told = one_sentence(run("restore", "friday.laylog-backup"))
    assert "holds 2 parts; the backup holds 2 parts. Nothing was changed" in told
    answer = run("restore", "friday.laylog-backup", "--replace", "--json").json
    assert answer["rows"]["part"] == 2
    assert Path(answer["set_aside"]).is_file()


def test_health_tells_a_sound_store_and_its_last_backup(tmp_path: Path) -> None:
    _shop(tmp_path)
    assert "is sound. No backup was made yet." in run("health").words
    run("backup", "friday.laylog-backup")
    ran = run("health")
    assert (ran.code, "friday.laylog-backup" in ran.words) == (0, True)
    assert run("health", "--json").json["faults"] == []


def test_health_of_a_damaged_store_is_2_and_offers_the_last_backup(tmp_path: Path) -> None:
    store = _shop(tmp_path)
    run("backup", "friday.laylog-backup")
    whole = store.read_bytes()
    store.write_bytes(whole[:8192] + b"\xff" * 60_000 + whole[68_192:])
    ran = run("health")
    assert ran.code == 2
    assert "friday.laylog-backup" in ran.words
    assert "--replace" in ran.words


def test_check_makes_no_store_and_reads_as_an_empty_one_would(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text(LOG)
    ran = run("check", "log.csv", "--json")
    assert ran.json["files"][0]["sheets"][0]["parts"] == 2
    assert [path.name for path in tmp_path.iterdir()] == ["log.csv"]
    assert (
        run("import", "log.csv", "--json").json["files"][0]["sheets"]
        == ran.json["files"][0]["sheets"]
    )
