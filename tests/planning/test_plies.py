"""A ply schedule is read as shops write it."""

from __future__ import annotations

import pytest

from analytics.errors import QuestionError
from analytics.planning.plies import plies_of, written


@pytest.mark.parametrize(
    ("said", "g_m2"),
    [
        ("225+2x450", [225, 450, 450]),
        ("225 + 2 x 450", [225, 450, 450]),
        ("225, 450, 450", [225, 450, 450]),
        ("225 CSM + 450x2 csm", [225, 450, 450]),
        ("1x300 g/m2 then 3 off 450", [300, 450, 450, 450]),
        ("300/450/450", [300, 450, 450]),
        ("300gsm+600 WR", [300, 600]),
        # ounces by the square foot: mats sold as 225, 450 (common practice, no published source)
        ("3/4 oz + 2 x 1.5 oz", [225, 450, 450]),
        ("3/4 oz + 2 x 1 1/2 oz", [225, 450, 450]),
        ("0.75 + 2x1,5", [225, 450, 450]),
        # woven goes by the square yard: 18 oz is 610 g/m2
        ("1 oz + 18 oz", [300, 610]),
    ],
)
def test_schedule_is_read(said: str, g_m2: list[float]) -> None:
    assert [ply.g_m2 for ply in plies_of(said)] == g_m2


def test_ounces_not_sold_by_name_are_converted() -> None:
    # 1 oz/ft2 = 305.152 g/m2, 1 oz/yd2 = 33.9057 g/m2 (exact)
    assert plies_of("2.5 oz")[0].g_m2 == pytest.approx(762.88, abs=0.01)
    assert plies_of("10 oz")[0].g_m2 == pytest.approx(339.06, abs=0.01)


def test_woven_is_told_from_mat() -> None:
    assert [ply.kind for ply in plies_of("450 CSM + 600 woven roving + 24 oz")] == [
        "mat", "woven", "woven",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "said", ["", "soup", "0", "5000", "-225", "225+", "450 gold", "30x450", "1/0 oz", "2x"]
)
def test_what_is_no_schedule_is_refused(said: str) -> None:
    with pytest.raises(QuestionError):
        plies_of(said)


@pytest.mark.parametrize("said", ["225+2x450", "300 + 600 woven + 2x450"])
def test_written_schedule_reads_back_the_same(said: str) -> None:
    assert plies_of(written(plies_of(said))) == plies_of(said)
