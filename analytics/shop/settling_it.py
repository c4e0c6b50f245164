"""Arguments settled: two ways compared on the log, and fair trials planned, logged and read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.shop.base import OpenShop

if TYPE_CHECKING:
    from analytics.knowledge.model import Question
    from analytics.settling.answer import Comparison
    from analytics.settling.trial import Given, Trial
    from analytics.settling.trial_answer import TrialLook

TRIAL, STOP = "trial", "trial-stop"


@dataclass(frozen=True)
class WayGiven:
    """The way a part is to be made: a or b, in words, and which part of the trial it is."""

    trial: str
    part_id: str
    mould: str
    way: str
    said: str
    parts_given: int
    before: bool

    def to_json(self) -> dict[str, Any]:
        """The same as plain values."""
        return dict(vars(self))


class SettlingIt(OpenShop):
    """Two ways compared on the shop's own log, and trials in which chance picks the way."""

    def questions(self) -> tuple[Question, ...]:
        """The old arguments of the trade, in their order."""
        return tuple(sorted(self.knowledge.questions.values(), key=lambda q: q.number))

    def fields_to_compare(self) -> tuple[str, ...]:
        """Recorded columns that hold a way of doing things."""
        from analytics.settling.ways import fields_to_compare

        fields: tuple[str, ...] = self._worked_out(
            "fields-to-compare", lambda: fields_to_compare(self.jobs())
        )
        return fields

    def usual_ways(self, field: str) -> tuple[str, str]:
        """Two ways of a field worth comparing: the two commonest, or halves."""
        from analytics.settling.ways import field_called, usual_ways

        return usual_ways(field_called(self.jobs(), field), self.jobs())

    def compare_question(self, name: str, *, matters: float | None = None) -> Comparison:
        """What the log says to an old argument, by its id or number."""
        from analytics.settling.compare import compare

        questions = self.knowledge.questions
        found = questions.get(name) or next(
            (q for q in questions.values() if name.isdigit() and q.number == int(name)), None
        )
        if found is None:
            raise QuestionError(
                f'no ready-made question is called "{name}"; `laylog compare --list` shows them.'
            )
        return compare(
            self.jobs(), self.log().defects, self.knowledge, found,
            lots=self.log().lots, matters=matters,
        )  # fmt: skip

    def compare(
        self,
        field: str,
        ways: Sequence[str] = (),
        *,
        defects: Sequence[str],
        where: Mapping[str, str] | None = None,
        matters: float | None = None,
    ) -> Comparison:
        """What the log says of two ways of any recorded field."""  # fmt: skip
        from analytics.settling.compare import compare, own_question

        self._need_parts()
        asked = own_question(self.jobs(), field, ways, defects, self.knowledge, where)
        return compare(
            self.jobs(), self.log().defects, self.knowledge, asked,
            lots=self.log().lots, matters=matters,
        )  # fmt: skip

    def _need_parts(self) -> None:
        if self.log().parts.empty:
            raise QuestionError(
                f"the store {self.store.where} has no parts yet. Read a log in: laylog import FILE."
            )

    def new_trial(
        self,
        name: str,
        way_a: str,
        way_b: str,
        *,
        defects: Sequence[str],
        seed: int,
        field: str = "",
        usual: float | None = None,
        matters: float | None = None,
    ) -> TrialLook:
        """A trial planned and kept; chance picks the ways from `seed`."""  # fmt: skip
        from analytics.settling.trial import plan_trial

        trial = plan_trial(
            name, way_a, way_b, defects, self.jobs(), self.log().defects, self.knowledge,
            seed=seed, field=field, usual=usual, matters=matters, lots=self.log().lots,
        )  # fmt: skip
        if not self.store.add_entry(TRIAL, trial.name, trial.content(), now=self._now()):
            raise QuestionError(
                f'a trial called "{trial.name}" is there already; take another name.'
            )
        return self.look_at_trial(trial.name)

    def trials(self) -> tuple[Trial, ...]:
        """Every trial, the newest first."""
        from analytics.settling.trial import Trial

        entries = self.store.entries(TRIAL)
        return tuple(Trial.of(e.name, e.content, e.at) for e in reversed(entries))

    def trial(self, name: str) -> Trial:
        """A trial by its name. Raises QuestionError where there is none."""
        from analytics.settling.trial import slug

        known = self.trials()
        found = next((t for t in known if t.name == slug(name)), None)
        if found is None:
            named = (
                f"There are: {', '.join(t.name for t in known)}." if known else "There is none yet."
            )
            raise QuestionError(f'no trial is called "{name}". {named}')
        return found

    def assign(self, name: str, part_id: str, mould: str | None = None) -> WayGiven:
        """The way chance gives this part, kept before it is said.

        Raises QuestionError for a part that is made already, or a mould nobody named.
        """
        from analytics.settling.giving import give_way, given_parts

        trial = self.trial(name)
        part_id = part_id.strip()
        if not part_id:
            raise QuestionError("say the number of the part you are about to make.")
        if stopped := self._stopped(trial.name):
            raise QuestionError(f'the trial "{trial.name}" was stopped: {stopped}.')
        before = self._given(trial.name, part_id)
        if before is None:
            before_made, mould = self._not_yet_made(trial, part_id, mould)
            part_id = before_made
        one = before or give_way(self.store, trial, part_id, mould or "", now=self._now())
        return WayGiven(
            trial.name, one.part_id, one.mould, one.way, trial.way(one.way),
            len(given_parts(self.store, trial.name)), before is not None,
        )  # fmt: skip

    def way_of(self, name: str, part_id: str) -> WayGiven | None:
        """The way a part got; None where it has none yet. Nothing is given out by asking."""
        from analytics.settling.giving import given_parts

        trial = self.trial(name)
        one = self._given(trial.name, part_id)
        if one is None:
            return None
        given = len(given_parts(self.store, trial.name))
        said = trial.way(one.way)
        return WayGiven(trial.name, one.part_id, one.mould, one.way, said, given, True)

    def _given(self, trial: str, part_id: str) -> Given | None:
        from analytics.records.cells import id_key
        from analytics.settling.giving import given_parts

        parts = given_parts(self.store, trial)
        return next((g for g in parts if id_key(g.part_id) == id_key(part_id)), None)

    def _not_yet_made(self, trial: Trial, part_id: str, mould: str | None) -> tuple[str, str]:
        """The part's number and mould; refused where the log shows how it was made or came out."""
        from analytics.records.cells import id_key

        jobs = self.jobs()
        rows = jobs[[id_key(str(part)) == id_key(part_id) for part in jobs["part_id"]]]
        if len(rows):
            row = rows.iloc[0]
            made = trial.field and row[trial.field] == row[trial.field]
            if bool(row["looked"] is True or row["looked"] == 1) or made:
                raise QuestionError(
                    f"part {part_id} is made already: chance cannot pick its way any more."
                )
            part_id = str(row["part_id"])
            mould = mould or (str(row["mould_id"]) if row["mould_id"] == row["mould_id"] else None)
        if not (mould or "").strip():
            raise QuestionError(f"which mould is part {part_id} made on? Say --mould.")
        return part_id, str(mould).strip()

    def look_at_trial(self, name: str) -> TrialLook:
        """How a trial stands on today's log; look as often as you like."""
        from analytics.settling.giving import given_parts
        from analytics.settling.looking import look

        trial = self.trial(name)
        return look(
            trial, given_parts(self.store, trial.name), self.jobs(), self.log().defects,
            self.knowledge, stopped=self._stopped(trial.name),
        )  # fmt: skip

    def stop_trial(self, name: str, why: str = "") -> TrialLook:
        """End a trial; what was given stays written. Raises QuestionError when it was ended."""
        trial = self.trial(name)
        reason = why.strip() or "no reason given"
        if not self.store.add_entry(STOP, trial.name, {"why": reason}, now=self._now()):
            raise QuestionError(f'the trial "{trial.name}" was stopped before.')
        return self.look_at_trial(trial.name)

    def _stopped(self, trial: str) -> str:
        """Why a trial was stopped; empty while it runs."""
        found = [entry for entry in self.store.entries(STOP) if entry.name == trial]
        return str(found[-1].content["why"]) if found else ""
