"""Each way a promise is broken on purpose still finds its place in the code, and its tests."""

from __future__ import annotations

import pytest

from tests.hard.breaks import ROOT, Break, breaks


@pytest.mark.parametrize("one", breaks(), ids=lambda one: one.promise)
def test_text_to_change_stands_once_and_its_tests_are_there(one: Break) -> None:
    assert (ROOT / one.file).read_text(encoding="utf-8").count(one.old) == 1
    for test in one.tests:
        file, _, name = test.partition("::")
        assert (ROOT / file).exists()
        assert not name or f"def {name}(" in (ROOT / file).read_text(encoding="utf-8")
