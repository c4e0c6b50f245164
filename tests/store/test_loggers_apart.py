"""Loggers that do not say their name, and readings of moments that cannot be."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pandas as pd
import pytest

from analytics.shop import Shop

NOW = datetime(2024, 6, 1)
START = datetime(2024, 3, 1)


@pytest.fixture
def shop(store_url):
    opened = Shop.open(store_url, now=lambda: NOW, environ={})
    yield opened
    opened.close()


def written(path: Path, air: float, hours: int = 24, start: datetime = START) -> Path:
    rows = [f"{start + timedelta(hours=h)},{air + h % 5},{60 + h % 7}" for h in range(hours)]
    path.write_text("Time,Temp C,RH %\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def readings(shop: Shop) -> pd.DataFrame:
    return shop.log().logger


def test_two_nameless_loggers_do_not_write_over_each_other(shop, tmp_path):
    shop.import_files([written(tmp_path / "shed.csv", 10)])
    shop.import_files([written(tmp_path / "office.csv", 20)])
    found = readings(shop)
    assert len(found) == 48
    assert found.groupby("file")["air_c"].mean().round(1).to_dict() == pytest.approx(
        {"shed.csv": 11.9, "office.csv": 21.9}, abs=0.11
    )
    assert set(found["logger_id"].dropna()) == {"office"}


def test_both_in_one_import_are_kept_too(shop, tmp_path):
    shop.import_files([written(tmp_path / "shed.csv", 10), written(tmp_path / "office.csv", 20)])
    assert len(readings(shop)) == 48


def test_reading_them_again_changes_nothing(shop, tmp_path):
    files = [written(tmp_path / "shed.csv", 10), written(tmp_path / "office.csv", 20)]
    for file in files:
        shop.import_files([file])
    before = readings(shop)
    for file in reversed(files):
        total = shop.import_files([file]).saved.total
        assert (total.new, total.changed) == (0, 0)
    pd.testing.assert_frame_equal(readings(shop), before)


def test_a_logger_that_was_named_by_its_file_stays_one_as_it_grows(shop, tmp_path):
    shop.import_files([written(tmp_path / "shed.csv", 10)])
    shop.import_files([written(tmp_path / "office.csv", 20)])
    shop.import_files([written(tmp_path / "office.csv", 20, hours=30)])
    found = readings(shop)
    assert len(found[found["file"] == "office.csv"]) == 30
    assert set(found.loc[found["file"] == "office.csv", "logger_id"]) == {"office"}


def test_one_logger_saved_under_another_name_stays_one(shop, tmp_path):
    shop.import_files([written(tmp_path / "march.csv", 10)])
    total = shop.import_files([written(tmp_path / "longer.csv", 10, hours=30)]).saved.total
    assert (total.new, total.unchanged, total.changed) == (6, 24, 0)
    assert readings(shop)["logger_id"].isna().all()


def test_a_reading_from_a_day_to_come_is_told_and_the_rest_kept(shop, tmp_path):
    shop.import_files([written(tmp_path / "before.csv", 10)])
    file = written(tmp_path / "shed.csv", 10, start=START + timedelta(days=2))
    with file.open("a", encoding="utf-8") as more:
        more.write("2031-01-01 00:00:00,12,60\n")
    answer = shop.import_files([file])
    assert len(readings(shop)) == 48
    [report] = answer.files
    [sheet] = report.sheets
    assert (sheet.rows, sheet.logger, sheet.not_records) == (26, 24, 2)
    assert {p.kind for p in report.problems} == {"date", "unreadable row"}
    assert "2031-01-01" in next(p.found for p in report.problems if p.kind == "date")
