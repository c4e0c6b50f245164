"""One shop, opened once: its store, the knowledge in force, and the models learnt from its log.

Commands and dashboard pages ask here and render what comes back; nothing is computed above.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

from analytics.knowledge.loading import load_knowledge
from analytics.records.store import Store, default_store_url
from analytics.shop.asking import FailedPart
from analytics.shop.beginning import Begins
from analytics.shop.browsing import Browsing
from analytics.shop.catalysing import Catalysing
from analytics.shop.keeping import ImportAnswer, Keeping
from analytics.shop.passphrase import Sharing
from analytics.shop.planning_day import PlanningDay
from analytics.shop.preferences import Preferences
from analytics.shop.previewing import Previewing
from analytics.shop.reviewing import Reviewing
from analytics.shop.safekeeping import Safekeeping
from analytics.shop.settling_it import SettlingIt

__all__ = ["FailedPart", "ImportAnswer", "Shop"]


class Shop(
    PlanningDay,
    Catalysing,
    Keeping,
    Reviewing,
    Sharing,
    Previewing,
    Browsing,
    Begins,
    Preferences,
    SettlingIt,
    Safekeeping,
):
    """One shop's log and everything that can be asked of it; safe to share between threads."""

    @classmethod
    def open(
        cls,
        store: str | None,
        *,
        now: Callable[[], datetime],
        knowledge_file: str | None = None,
        environ: Mapping[str, str] | None = None,
        make: bool = True,
    ) -> Shop:
        """The shop kept at a path or URL, else at LAYLOG_STORE, else in the user's data folder.

        Where there is none yet, `make` it. Raises StoreError or KnowledgeError with a sentence
        when either cannot be opened.
        """
        where = store or default_store_url(os.environ if environ is None else environ)
        knowledge = load_knowledge(Path(knowledge_file) if knowledge_file else None)
        return cls(Store.open(where, now=now(), make=make), knowledge, now)

    def close(self) -> None:
        """Let go of the store."""
        self.store.close()
