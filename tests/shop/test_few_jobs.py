"""One part of a large log: the same answer as from the whole of it, with little fetched for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analytics.diagnosis.lots import LOT_RATIOS
from analytics.diagnosis.pieces import ROWS, jobs_at, pieces_of, pieces_with
from analytics.errors import QuestionError
from analytics.jobs import jobs_table
from analytics.records.log import TABLES as RECORDS
from analytics.records.log import Log
from analytics.records.problems import FileReport
from analytics.records.store import tables
from analytics.records.store.kept import HEAD
from analytics.shop import Shop, base
from sample_logs.barn import BARN
from sample_logs.workshop import simulate
from tests.builders import a_log

NOW = datetime(2026, 6, 1)
FILE = "log.csv"


@dataclass(frozen=True)
class AsRead:
    """What reading a log would have given."""

    files: tuple[FileReport, ...]
    tables: dict[str, pd.DataFrame]

    @classmethod
    def of(cls, log: Log) -> AsRead:
        tables = {r: getattr(log, name).assign(file=FILE) for r, name in RECORDS.items()}
        return cls((FileReport(FILE, (), ()),), tables | {"defect": log.defects})


@pytest.fixture(autouse=True)
def every_log_is_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(base, "WORTH_KEEPING", 1)
    monkeypatch.setattr(base, "LARGE", 1)


@pytest.fixture
def opened() -> Iterator[Callable[[str], Shop]]:
    shops: list[Shop] = []

    def make(url: str) -> Shop:
        shops.append(Shop.open(url, now=lambda: NOW, environ={}))
        return shops[-1]

    yield make
    for shop in shops:
        shop.close()


def simulated(months: int) -> Log:
    """Parts of a simulated shop, some with places written beside their faults."""
    log = Log.of(simulate(replace(BARN, months=months, parts_per_month=90.0), 5).tables())
    places = np.resize(
        np.array(["corner", "Corner ", "flange", None], dtype=object), len(log.defects)
    )
    return replace(log, defects=log.defects.assign(place=pd.Series(places, dtype="str")))


def filled(shop: Shop, log: Log) -> Shop:
    shop.store.save(AsRead.of(log), now=NOW)
    return shop


def test_few_jobs_give_the_answer_of_the_whole_log(
    store_url: str, opened: Callable[[str], Shop]
) -> None:
    whole = filled(opened(store_url), simulated(4))
    failed = [part.part_id for part in whole.failed_parts()]
    whole.why(failed[0])
    few = opened(store_url)
    for part in failed[::20]:
        assert few.why(part) == whole.why(part)
    assert not few._holds("jobs")
    assert not few._holds("log")


def test_few_jobs_count_bench_results_confirmed_causes_and_faults_asked_about(
    store_url: str, opened: Callable[[str], Shop]
) -> None:
    whole = filled(opened(store_url), simulated(3))
    part = whole.failed_parts()[7]
    first = whole.why(part.part_id)[0]
    check = next(cause.check_id for cause in first.causes if cause.check_id)
    result = next(iter(whole.knowledge.checks[check].results))
    whole.confirm(part.part_id, first.defect, first.causes[1].cause)
    whole.observe(part.part_id, check, result)
    told = whole.why(part.part_id, asked=["wrinkling"])
    few = opened(store_url)
    assert few.why(part.part_id, asked=["wrinkling"]) == told
    assert few.why(part.part_id, seen={check: result}) == whole.why(part.part_id)
    assert not few._holds("jobs")
    assert told[0].causes[0].confirmed
    assert told[0].seen == ((check, result),)


def test_a_number_typed_in_another_way_is_found_among_few_jobs(
    store_url: str, opened: Callable[[str], Shop]
) -> None:
    whole = filled(opened(store_url), simulated(3))
    part = whole.failed_parts()[0].part_id
    answer = whole.why(part)
    few = opened(store_url)
    assert few.why(f" {part.lower()} ") == answer
    with pytest.raises(QuestionError, match="no part is called"):
        few.why("never made")
    assert not few._holds("jobs")


def test_an_import_makes_the_whole_log_answer_once_more(
    store_url: str, opened: Callable[[str], Shop]
) -> None:
    whole = filled(opened(store_url), simulated(3))
    part = whole.failed_parts()[0].part_id
    whole.why(part)
    more = a_log(parts=[{"part_id": "NEW", "mould_id": "M1", "date": NOW, "faults": ["pinholes"]}])
    filled(whole, more)
    few = opened(store_url)
    answer = few.why("NEW")
    assert few._holds("jobs")
    again = opened(store_url)
    assert again.why("NEW") == answer
    assert not again._holds("jobs")


def test_a_damaged_piece_is_no_answer_but_the_whole_log_is(
    store_url: str, opened: Callable[[str], Shop]
) -> None:
    whole = filled(opened(store_url), simulated(3))
    part = whole.failed_parts()[0].part_id
    answer = whole.why(part)
    with whole.store._writing() as connection:
        piece = tables.cache.c.key.like(f"{HEAD} %")
        connection.execute(sa.update(tables.cache).where(piece).values(content=b"short"))
    few = opened(store_url)
    assert few.why(part) == answer
    assert few._holds("jobs")


def test_a_month_needs_no_more_of_the_log_than_its_own_readings(
    store_url: str, opened: Callable[[str], Shop]
) -> None:
    whole = filled(opened(store_url), simulated(3))
    whole.log()
    review = whole.month()
    few = opened(store_url)
    assert few.month().to_json() == review.to_json()
    assert not few._holds("log")


def test_records_asked_for_by_number_are_those_of_the_whole_listing(
    store_url: str, opened: Callable[[str], Shop]
) -> None:
    whole = filled(opened(store_url), simulated(3))
    every = whole.records()["parts"]
    wanted = [every[7]["part_id"], every[90]["part_id"]]
    assert opened(store_url).records(wanted)["parts"] == [every[7], every[90]]
    assert opened(store_url).records([])["parts"] == []


# -- how much is fetched ---------------------------------------------------------------------------


@dataclass
class Fetched:
    """What questions to a PostgreSQL store brought over the wire."""

    rows: int = 0
    bytes: int = 0

    def count(self, _connection: Any, cursor: Any, *_: Any) -> None:
        result = cursor.pgresult
        self.rows += result.ntuples
        for row in range(result.ntuples):
            self.bytes += sum(
                len(result.get_value(row, column) or b"") for column in range(result.nfields)
            )


@pytest.fixture
def watched(opened: Callable[[str], Shop], new_postgresql: Callable[[], str]) -> tuple[Shop, str]:
    url = new_postgresql()
    return filled(opened(url), simulated(12)), url


@pytest.mark.postgresql
def test_why_fetches_few_rows_of_a_large_postgresql_store(
    watched: tuple[Shop, str], opened: Callable[[str], Shop]
) -> None:
    whole, url = watched
    parts = [part.part_id for part in whole.failed_parts()]
    whole.why(parts[0])
    few = opened(url)
    fetched = Fetched()
    sa.event.listen(few.store._engine, "after_cursor_execute", fetched.count)
    few.why(parts[len(parts) // 2])
    # the whole log is some 1,000 parts, 2,000 mixes and 8,000 logger readings
    assert fetched.rows < 200
    # each piece travels as hexadecimal, two characters a byte
    assert fetched.bytes < 2_500_000
    assert not few._holds("jobs")


@pytest.mark.postgresql
def test_a_month_fetches_only_its_readings_of_a_large_postgresql_store(
    watched: tuple[Shop, str], opened: Callable[[str], Shop]
) -> None:
    whole, url = watched
    whole.why(whole.failed_parts()[0].part_id)
    few = opened(url)
    fetched = Fetched()
    sa.event.listen(few.store._engine, "after_cursor_execute", fetched.count)
    few.month()
    # a reading every hour, and the kept jobs and faults each in one row
    assert fetched.rows < 900


# -- few jobs are the same as those of the whole table ---------------------------------------------


def assert_the_same(log: Log) -> None:
    jobs = jobs_table(log)
    lots = np.arange(3.0 * len(jobs)).reshape(-1, 3)
    pieces = pieces_of(jobs, lots)
    for places in ([0], [len(jobs) - 1], sorted({0, len(jobs) // 2, len(jobs) - 1})):
        needed = {name: pieces[name] for name in pieces_with(places)}
        few = jobs_at(needed, places)
        assert few is not None
        expected = jobs.iloc[places].reset_index(drop=True)
        pd.testing.assert_frame_equal(few.drop(columns=list(LOT_RATIOS)), expected)
        np.testing.assert_array_equal(few[list(LOT_RATIOS)].to_numpy(), lots[places])


def test_jobs_cut_out_of_pieces_equal_those_of_the_table() -> None:
    log = simulated(4)
    assert ROWS < len(log.parts) < 2 * ROWS
    assert_the_same(log)


def test_pieces_are_named_by_the_places_they_hold() -> None:
    assert pieces_with([0, ROWS - 1, ROWS, 25 * ROWS]) == ["0", "1", "25"]


DAY = date(2026, 1, 5)
PART = st.fixed_dictionaries(
    {},
    optional={
        "date": st.integers(0, 9).map(lambda n: pd.Timestamp(DAY + timedelta(days=n))),
        "start_time": st.sampled_from(["07:30", "10:00", "16:05"]),
        "mould_id": st.sampled_from(["M1", "M2"]),
        "operator": st.sampled_from(["Al", "Bo"]),
        "pulls_since_renewal": st.integers(0, 9).map(float),
        "wax_coats": st.integers(1, 4).map(float),
        "mould_condition": st.sampled_from(["good", "poor"]),
        "plies_in_session": st.integers(1, 3).map(float),
        "session_mm": st.floats(1, 9),
        "air_c": st.floats(5, 35),
        "pva_used": st.booleans(),
        "demould_effort": st.integers(1, 5).map(float),
        "gelcoat_batch_id": st.sampled_from(["G1", "G2"]),
        "faults": st.lists(st.sampled_from(["pinholes", "sticking", "wrinkling"]), unique=True),
    },
)
MIXES = [
    {"batch_id": "G1", "material": "gelcoat", "lot": "L1", "catalyst_pct": 1.8, "gel_min": 14.0},
    {"batch_id": "G2", "material": "gelcoat", "lot": "L2", "air_c": 17.0},
]


@settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(parts=st.lists(PART, min_size=1, max_size=60), first=st.sampled_from(["corner", "flange"]))
def test_any_log_answers_alike_from_few_jobs_and_from_all(
    tmp_path_factory: pytest.TempPathFactory, parts: list[dict[str, Any]], first: str
) -> None:
    log = a_log(parts=parts, batches=MIXES)
    places = [first if n % 3 else "edge" for n in range(len(log.defects))]
    log = replace(log, defects=log.defects.assign(place=pd.Series(places, dtype="str")))
    assert_the_same(log)
    url = str(Path(tmp_path_factory.mktemp("any")) / "shop.laylog")
    whole = filled(Shop.open(url, now=lambda: NOW, environ={}), log)
    failed = [part.part_id for part in whole.failed_parts()]
    for part in failed[:1]:
        whole.why(part)
    few = Shop.open(url, now=lambda: NOW, environ={})
    for part in failed[-2:]:
        assert few.why(part) == whole.why(part)
    assert not few._holds("jobs")
    few.close()
    whole.close()
