"""The one dictionary of fields holds together."""

from __future__ import annotations

import pytest

from analytics.records.fields import KEYS, RECORDS, Field, dictionary
from analytics.records.log import Log, columns_of
from analytics.records.settings import ReadSettings
from analytics.records.spellings import index_of
from analytics.units import quantity_of
from tests.builders import a_log

FIELDS = dictionary().fields


def ids(field: Field) -> str:
    return f"{field.record}.{field.id}"


@pytest.mark.parametrize("field", FIELDS, ids=ids)
def test_field_is_complete(field: Field) -> None:
    assert field.name
    assert field.meaning
    assert field.kind in {
        "text", "number", "yes_no", "choice", "date", "time", "datetime", "defects",
    }  # fmt: skip
    assert field.questions
    assert set(field.questions) <= {"why", "month", "catalyst"}
    assert bool(field.choices) == (field.kind == "choice")


@pytest.mark.parametrize("field", [f for f in FIELDS if f.kind == "number"], ids=ids)
def test_number_has_a_unit_a_range_and_a_source(field: Field) -> None:
    assert field.unit is not None
    assert quantity_of(field.unit)
    assert field.low is not None
    assert field.high is not None
    assert field.low < field.high
    assert field.source in dictionary().sources
    if field.usual:
        assert field.low <= field.usual[0] < field.usual[1] <= field.high


def test_every_figure_has_a_source() -> None:
    assert {figure.source for figure in dictionary().figures.values()} <= set(dictionary().sources)


@pytest.mark.parametrize("record", RECORDS)
def test_record_has_its_key(record: str) -> None:
    assert KEYS[record] in {field.id for field in dictionary().of(record)}


@pytest.mark.parametrize("record", RECORDS)
def test_every_field_answers_to_its_own_id_and_name(record: str) -> None:
    targets = {entry.target for entries in index_of(record).values() for entry in entries}
    assert {field.id for field in dictionary().of(record)} <= targets


@pytest.mark.parametrize("field", [f for f in FIELDS if f.choices], ids=ids)
def test_no_word_means_two_choices(field: Field) -> None:
    words = [word for listed in field.choices.values() for word in listed]
    assert len(words) == len(set(words))


def test_mix_columns_can_be_placed_on_a_sheet_of_parts() -> None:
    assert "gelcoat.catalyst_pct" in dictionary().targets("part")
    assert dictionary().target("part", "resin.gel_min").record == "batch"
    with pytest.raises(KeyError):
        dictionary().target("part", "gelcoat.nothing")


def test_empty_log_has_every_column() -> None:
    log = Log.empty()
    assert tuple(log.parts.columns) == columns_of("part")
    assert tuple(log.logger.columns) == columns_of("logger")
    assert len(log.defects) == 0


def test_built_log_says_only_what_matters() -> None:
    log = a_log(parts=[{"mould_c": 14, "faults": ["sticking"]}, {}])
    assert list(log.parts["part_id"]) == ["P1", "P2"]
    assert list(log.parts["looked"].fillna(False)) == [True, False]
    assert list(log.defects["defect"]) == ["sticking"]
    with pytest.raises(KeyError, match="moudl_c"):
        a_log(parts=[{"moudl_c": 14}])


def test_shops_own_figures_come_before_the_dictionarys() -> None:
    assert ReadSettings.of().densities.catalyst_g_ml == 1.16
    own = ReadSettings.of({"catalyst_g_ml": 1.1, "theme": "dark"})
    assert own.densities.catalyst_g_ml == 1.1
    assert own.sources["catalyst_g_ml"] == "the shop's own setting"
