"""What every part of a shop rests on: its store, the knowledge in force, what was worked out."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any

from analytics.errors import StoreError
from analytics.knowledge.model import Knowledge
from analytics.records.store import Store
from analytics.records.store.kept import Searchable

if TYPE_CHECKING:
    import pandas as pd

    from analytics.diagnosis.alike import Compared
    from analytics.diagnosis.model import ShopModel
    from analytics.records.log import Log

MODEL_KEY = "cause-model"
FEW_KEY = "cause-model without its jobs"
WORTH_KEEPING = 1000
"""Parts in a log from which on its model is kept in the store."""
LARGE = 5000
"""Parts in a log from which on one part's causes are asked for without fetching all the others."""


@dataclass
class _Item:
    """One thing worked out, with what else it rests on (None: not yet worked out)."""

    mark: str | None = None
    value: Any = None
    lock: threading.RLock = field(default_factory=threading.RLock)


@dataclass
class _Cached:
    """What was worked out for one state of the records."""

    fingerprint: str = ""
    items: dict[str, _Item] = field(default_factory=dict)


class OpenShop:
    """One shop's store and knowledge, and what was learnt from its log; safe between threads."""

    def __init__(self, store: Store, knowledge: Knowledge, now: Callable[[], datetime]) -> None:
        self.store = store
        self.knowledge = knowledge
        self._now = now
        self._lock = threading.RLock()
        self._cached = _Cached()
        self._own = threading.local()
        self.works_ahead = False

    def _worked_out(self, name: str, make: Callable[[], Any], mark: str = "") -> Any:
        """`make()`, kept until the records change, or `mark` does where more counts than they."""
        state = self._state()
        with self._lock:
            item = state.items.setdefault(name, _Item())
        # each thing has a lock of its own: nobody waits for what somebody else is asking
        with item.lock:
            if item.mark != mark:
                with self._resting_on(state):
                    item.value = make()
                item.mark = mark
            return item.value

    def _state(self) -> _Cached:
        """What was worked out for the records as they are; while something is, as they were."""
        held: _Cached | None = getattr(self._own, "state", None)
        if held is not None:
            return held
        with self._lock:
            self._look_for_changes()
            return self._cached

    @contextmanager
    def _resting_on(self, state: _Cached) -> Iterator[None]:
        """Everything this thread works out in here rests on one state of the records."""
        before = getattr(self._own, "state", None)
        self._own.state = state
        try:
            yield
        finally:
            self._own.state = before

    def _look_for_changes(self) -> None:
        """Forget what was worked out from records that have changed since."""
        fingerprint = self.store.fingerprint()
        if self._cached.fingerprint != fingerprint:
            self._cached = _Cached(fingerprint)

    def _holds(self, name: str) -> bool:
        """Whether something is worked out already for the records as they are."""
        item = self._state().items.get(name)
        return item is not None and item.mark is not None

    def state_of_answers(self) -> tuple[str, str, str]:
        """What changes whenever an answer may: records, confirmed causes, the day."""
        day = f"{self._now():%Y-%m-%d}"
        return self.store.fingerprint(), self.store.confirmed_mark(), day

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

    def model_at_hand(self) -> ShopModel:
        """The cause model; on a large log the last one while a new one is learnt in the background.

        One confirmed cause more moves a model of thousands of parts by very little, and whoever
        pressed the button waits for the page.
        """
        item = self._state().items.get(MODEL_KEY) if self.works_ahead else None
        if item is not None and item.mark is not None and len(self.jobs()) >= LARGE:
            last: ShopModel = item.value
            return last
        return self.cause_model()

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
            if len(jobs) >= LARGE:
                self._keep_few(model, jobs, mark)
        return model

    def _keep_few(self, model: ShopModel, jobs: pd.DataFrame, mark: str) -> None:
        """Keep the jobs in pieces, and the model without them, for questions about one part."""
        from analytics.diagnosis.pieces import columns_of, pieces_of, without_jobs

        compared, state = self.compared(), self._state_of("")
        moulds = jobs["mould_id"].astype(object).where(jobs["mould_id"].notna(), None)
        searched = Searchable(
            jobs["part_id"].tolist(), moulds.tolist(), compared.good.tolist(), columns_of(compared)
        )
        with suppress(StoreError):
            with self.store.kept_jobs(state) as kept:
                known = kept is not None
            if not known:
                self.store.keep_jobs(state, pieces_of(jobs, model.lots), searched)
        self._keep(FEW_KEY, lambda: without_jobs(model), len(jobs), mark)

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
        return f"{self._state().fingerprint}/{mark}/{self._maker}"
