"""Stories run away from the user's own store."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def bench(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """An empty folder to work in, with a store of its own."""
    monkeypatch.setenv("LAYLOG_STORE", str(tmp_path / "shop.laylog"))
    monkeypatch.setenv("LAYLOG_TRACEBACK", "1")
    monkeypatch.delenv("LAYLOG_KNOWLEDGE", raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path
