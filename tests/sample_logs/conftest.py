import pytest

from sample_logs.barn import BARN, SEED
from sample_logs.workshop import Shop, simulate


@pytest.fixture(scope="session")
def barn() -> Shop:
    """The example workshop as its files were made from."""
    return simulate(BARN, SEED)
