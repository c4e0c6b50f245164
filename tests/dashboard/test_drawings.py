"""Our drawings: one for each fault, alone in themselves, and fit for a dark screen."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from dashboard.components.drawings import (
    FACES,
    ICONS,
    STANDS_FOR,
    fault_picture,
    fault_svg,
    icon,
)
from dashboard.components.drawings.canvas import spread
from dashboard.components.drawings.cuts import CUTS
from tests.dashboard.fake_shop import PLAIN


def test_every_fault_has_a_face_and_a_cut() -> None:
    assert set(FACES) == set(CUTS) == set(PLAIN)


def test_groups_are_drawn_as_one_of_their_members() -> None:
    assert all(member in FACES for member in STANDS_FOR.values())
    assert fault_picture("sticking").src == fault_picture("sticking-patches").src


def test_fault_of_a_shops_own_has_no_picture() -> None:
    assert fault_picture("our-own-fault") is None


@pytest.mark.parametrize("defect", PLAIN)
def test_drawing_is_sound_xml_with_a_title(defect: str) -> None:
    root = ElementTree.fromstring(fault_svg(defect))
    assert root.findtext("{http://www.w3.org/2000/svg}title") == defect.replace("-", " ")


@pytest.mark.parametrize("defect", PLAIN)
def test_drawing_is_small_and_loads_nothing(defect: str) -> None:
    svg = fault_svg(defect)
    assert len(svg) < 30_000
    assert "href" not in svg
    assert "<script" not in svg
    assert "prefers-color-scheme:dark" in svg


def test_no_two_faults_look_alike() -> None:
    assert len({fault_svg(defect).partition("<title>")[2] for defect in PLAIN}) == len(PLAIN)
    assert len({face() for face in FACES.values()}) == len(PLAIN)
    assert len({cut() for cut in CUTS.values()}) == len(PLAIN)


def test_drawing_is_the_same_every_time() -> None:
    assert FACES["pinholes"]() == FACES["pinholes"]()


def test_picture_beside_its_words_is_not_read_out_twice() -> None:
    assert fault_picture("pinholes").alt == ""
    assert icon("month").alt == ""
    assert fault_picture("pinholes", "Drawing of pinholes").alt == "Drawing of pinholes"


def test_each_question_has_a_sign() -> None:
    assert set(ICONS) == {
        "cause", "month", "catalyst", "records", "plan", "settle", "write",
    }  # fmt: skip
    for svg in ICONS.values():
        ElementTree.fromstring(svg)


def test_scattered_points_keep_their_distance() -> None:
    points = spread(1, 20, (0, 0, 100, 100), 10)
    assert len(points) == 20
    gaps = [
        ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
        for a in points
        for b in points
        if a is not b
    ]
    assert min(gaps) >= 10
