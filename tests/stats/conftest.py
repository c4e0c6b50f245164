from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

REFERENCE = Path(__file__).parents[1] / "data" / "reference"


@pytest.fixture
def reference() -> Callable[[str], pd.DataFrame]:
    """A reference table by file name; sources are in the README beside the files."""
    return lambda name: pd.read_csv(REFERENCE / name)
