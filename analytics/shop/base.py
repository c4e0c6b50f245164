"""What every part of a shop rests on: its store, the knowledge in force, what was worked out."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any

from analytics.errors import StoreError
from analytics.knowledge.model import Knowledge
from analytics.records.store import Store

if TYPE_CHECKING:
    import pandas as pd

    from analytics.diagnosis.alike import Compared
    from analytics.diagnosis.model import ShopModel
    from analytics.records.log import Log

MODEL_KEY = "cause-model"
WORTH_KEEPING = 1000
"""Parts in a log from which on its model is kept in the store."""


@dataclass
class _Cached:
    """What was worked out for one state of the records; each item with what else it rests on."""

    fingerprint: str = ""
    items: dict[str, tuple[str, Any]] = field(default_factory=dict)


class OpenShop:
    """One shop's store and knowledge, and what was learnt from its log; safe between threads."""

    def __init__(self, store: Store, knowledge: Knowledge, now: Callable[[], datetime]) -> None:
        self.store = store
        self.knowledge = knowledge
        self._now = now
        self._lock = threading.RLock()
        self._cached = _Cached()

    def _worked_out(self, name: str, make: Callable[[], Any], mark: str = "") -> Any:
        """`make()`, kept until the records change, or `mark` does where more counts than they."""
        with self._lock:
            fingerprint = self.store.fingerprint()
            if self._cached.fingerprint != fingerprint:
                self._cached = _Cached(fingerprint)
            held = self._cached.items.get(name)
            if held is None or held[0] != mark:
                held = self._cached.items[name] = (mark, make())
            return held[1]

    def log(self) -> Log:
        """All records."""
        log: Log = self._worked_out("log", self.store.read_log)
        return log

    def jobs(self) -> pd.DataFrame:
        """The jobs table of `analytics.jobs`."""

        def make() -> pd.DataFrame:
            from analytics.jobs import jobs_table

            return jobs_table(self.log(), self.knowledge)

        jobs: pd.DataFrame = self._worked_out("jobs", lambda: self._kept_table("jobs", make))
        return jobs

    def defects(self) -> pd.DataFrame:
        """The faults of all parts: part_id, defect, severity, place, words."""

        def make() -> pd.DataFrame:
            return self.log().defects

        defects: pd.DataFrame = self._worked_out(
            "defects", lambda: self._kept_table("defects", make)
        )
        return defects

    def cause_model(self) -> ShopModel:
        """The cause model learnt from this log and what was confirmed, anew when either changes."""
        mark = self.store.confirmed_mark()
        model: ShopModel = self._worked_out(MODEL_KEY, lambda: self._kept_model(mark), mark)
        return model

    def compared(self) -> Compared:
        """The jobs made comparable, for finding good parts like a failed one."""

        def make() -> Compared:
            from analytics.diagnosis.alike import Compared

            return Compared.of(self.jobs(), self.defects())

        compared: Compared = self._worked_out("compared", make)
        return compared

    def _kept_model(self, mark: str) -> ShopModel:
        from analytics.diagnosis.saved import model_bytes, model_of

        jobs = self.jobs()
        model = model_of(self._kept(MODEL_KEY, mark), self.knowledge, jobs)
        if model is None:
            model = self._fitted(jobs)
            self._keep(MODEL_KEY, lambda: model_bytes(model), len(jobs), mark)
        return model

    def _fitted(self, jobs: pd.DataFrame) -> ShopModel:
        from analytics.diagnosis.model import fit_shop

        confirmed = [
            (c.part_id, c.defect, c.cause)
            for c in self.store.confirmations()
            if c.cause in self.knowledge.causes and c.defect in self.knowledge.defects
        ]
        return fit_shop(self.knowledge, jobs, self.defects(), confirmed)

    def _kept_table(self, name: str, make: Callable[[], pd.DataFrame]) -> pd.DataFrame:
        from analytics.diagnosis.saved import table_bytes, table_of

        table = table_of(self._kept(name))
        if table is None:
            table = make()
            self._keep(name, lambda: table_bytes(table), len(self.log().parts))
        return table

    @cached_property
    def _maker(self) -> str:
        from analytics.diagnosis.saved import maker

        return maker(self.knowledge)

    def _kept(self, name: str, mark: str = "") -> bytes | None:
        return self.store.cache_get(name, self._state_of(mark))

    def _keep(self, name: str, make: Callable[[], bytes], parts: int, mark: str = "") -> None:
        """Put what took long in the store; a small log is as quickly worked out again."""
        if parts < WORTH_KEEPING:
            return
        # a store that cannot be written just now can still be asked
        with suppress(StoreError):
            self.store.cache_put(name, make(), self._state_of(mark))

    def _state_of(self, mark: str) -> str:
        return f"{self._cached.fingerprint}/{mark}/{self._maker}"
