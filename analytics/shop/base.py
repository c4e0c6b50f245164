"""What every part of a shop rests on: its store, the knowledge in force, what was worked out."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from analytics.knowledge.model import Knowledge
from analytics.records.store import Store

if TYPE_CHECKING:
    import pandas as pd

    from analytics.diagnosis.model import ShopModel
    from analytics.records.log import Log

MODEL_KEY = "cause-model"


@dataclass
class _Cached:
    """What was worked out for one state of the store."""

    fingerprint: str = ""
    items: dict[str, Any] = field(default_factory=dict)


class OpenShop:
    """One shop's store and knowledge, and what was learnt from its log; safe between threads."""

    def __init__(self, store: Store, knowledge: Knowledge, now: Callable[[], datetime]) -> None:
        self.store = store
        self.knowledge = knowledge
        self._now = now
        self._lock = threading.RLock()
        self._cached = _Cached()

    def _worked_out(self, name: str, make: Callable[[], Any]) -> Any:
        """`make()`, kept until the store changes."""
        with self._lock:
            fingerprint = self.store.fingerprint()
            if self._cached.fingerprint != fingerprint:
                self._cached = _Cached(fingerprint)
            if name not in self._cached.items:
                self._cached.items[name] = make()
            return self._cached.items[name]

    def log(self) -> Log:
        """All records."""
        log: Log = self._worked_out("log", self.store.read_log)
        return log

    def jobs(self) -> pd.DataFrame:
        """The jobs table of `analytics.jobs`."""

        def make() -> pd.DataFrame:
            from analytics.jobs import jobs_table

            return jobs_table(self.log())

        jobs: pd.DataFrame = self._worked_out("jobs", make)
        return jobs

    def cause_model(self) -> ShopModel:
        """The cause model learnt from this log."""

        def make() -> ShopModel:
            from analytics.diagnosis.model import fit_shop

            confirmed = [
                (c.part_id, c.defect, c.cause)
                for c in self.store.confirmations()
                if c.cause in self.knowledge.causes and c.defect in self.knowledge.defects
            ]
            return fit_shop(self.knowledge, self.jobs(), self.log().defects, confirmed)

        model: ShopModel = self._worked_out(MODEL_KEY, make)
        return model
