"""A command typed at the bench starts at once only when heavy libraries wait their turn."""

import pkgutil
import subprocess
import sys
from pathlib import Path

import pytest

import analytics


@pytest.mark.parametrize("layer", ["physics", "stats"])
def test_only_numpy_is_imported_before_a_function_is_called(layer):
    folder = Path(analytics.__path__[0]) / layer
    modules = [f"analytics.{layer}.{module.name}" for module in pkgutil.iter_modules([str(folder)])]
    assert len(modules) > 5
    script = (
        f"import sys, {', '.join(modules)}\n"
        "print([heavy for heavy in ('scipy', 'pandas', 'sklearn') if heavy in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        cwd=folder.parents[1],
    )
    assert run.stdout.strip() == "[]"
