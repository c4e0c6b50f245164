"""Commands away from the user's own store, and one store filled with the sample logs."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from sample_logs import FILES
from tests.cli.running import run


@pytest.fixture(autouse=True)
def away_from_home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No command sees the user's store, and a mistake inside laylog fails the test."""
    monkeypatch.setenv("LAYLOG_STORE", str(tmp_path / "shop.laylog"))
    monkeypatch.setenv("LAYLOG_TRACEBACK", "1")
    monkeypatch.delenv("LAYLOG_KNOWLEDGE", raising=False)
    monkeypatch.chdir(tmp_path)


@pytest.fixture(scope="session")
def sample_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with the sample logs, for reading only."""
    path = tmp_path_factory.mktemp("sample") / "sample.laylog"
    assert run("import", "--store", path, *FILES).code == 1
    return path


@pytest.fixture
def own_store(sample_store: Path, tmp_path: Path) -> Path:
    """A copy of the store with the sample logs, to write to."""
    return Path(shutil.copy(sample_store, tmp_path / "own.laylog"))
