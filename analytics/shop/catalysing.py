"""How much catalyst: today, through the year, by a cup test, and what was set and came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.shop.writing import Writing

if TYPE_CHECKING:
    from analytics.catalyst.advice import Learnt
    from analytics.catalyst.answer import CatalystAdvice
    from analytics.catalyst.cup import Cup, CupAnswer
    from analytics.catalyst.decisions import DosesSet
    from analytics.catalyst.readings import LastMix
    from analytics.catalyst.season import SeasonTable


class Catalysing(Writing):
    """Everything asked about catalyst; the gel-time model is kept until the store changes."""

    def gel_model(self, material: str) -> Learnt:
        """The gel-time model of one material, learnt from this log."""
        from analytics.catalyst import learn
        from analytics.catalyst.question import known_material

        kind = known_material(material)
        learnt: Learnt = self._worked_out(
            f"gel-time {kind}", lambda: learn(self.log(), self.knowledge, kind)
        )
        return learnt

    def catalyst(self, *, material: str, **question: Any) -> CatalystAdvice:
        """The catalyst advice; see `analytics.catalyst.advise` for what can be asked."""
        from analytics.catalyst import advise

        return advise(
            self.log(),
            self.knowledge,
            material=material,
            today=self._now().date(),
            learnt=self.gel_model(material),
            **question,
        )

    def season(self, *, material: str, **question: Any) -> SeasonTable:
        """The dose month by month; see `analytics.catalyst.season` for what can be asked."""
        from analytics.catalyst import season

        today, learnt = self._now().date(), self.gel_model(material)

        def make() -> SeasonTable:
            return season(
                self.log(), self.knowledge, material=material, today=today, learnt=learnt,
                **question,
            )  # fmt: skip

        # only the last one asked for is kept: there is no end of questions to ask
        said = {name: value for name, value in question.items() if value is not None}
        asked = f"{today} {sorted(said.items(), key=lambda one: one[0])}"
        table: SeasonTable = self._worked_out(f"season {material}", make, asked)
        return table

    def last_mix(self, material: str) -> LastMix | None:
        """The newest mix of a material, to begin an entry from."""
        from analytics.catalyst.question import known_material
        from analytics.catalyst.readings import last_mix

        kind = known_material(material)
        mix: LastMix | None = self._worked_out(
            f"last mix {kind}", lambda: last_mix(self.log(), kind)
        )
        return mix

    def cup_test(self, cup: Cup) -> CupAnswer:
        """What a cup test says of its lot; it is kept as a mix of its own.

        Raises QuestionError where a figure cannot be or the record was not understood.
        """
        from analytics.catalyst.cup_judging import cup_answer

        checked = cup.checked()
        before = self.gel_model(checked.material)
        number = self._keep_cup(checked)
        after = self.gel_model(checked.material)
        return cup_answer(
            self.log(), self.knowledge, checked, before=before, after=after, kept=number
        )

    def _keep_cup(self, cup: Cup) -> str:
        """Keep the cup as a mix; the number it goes by."""
        from analytics.catalyst.cup import CUP_NUMBER

        now = self._now()
        number = f"{CUP_NUMBER}{now:%Y%m%d-%H%M%S}"
        cells = {
            "batch_id": number,
            "date": f"{now:%Y-%m-%d}",
            "time": f"{now:%H:%M}",
            "material": cup.material,
            "lot": cup.lot,
            "mass_kg": f"{cup.mass_kg:g}",
            "catalyst_pct": f"{cup.catalyst_pct:g}",
            "material_c": f"{cup.temperature_c:g}",
            "gel_min": f"{cup.gel_min:g}",
            "gel_where": "cup",
        }
        kept = self.write_down("batch", {field: text for field, text in cells.items() if text})
        if kept.could_not:
            raise QuestionError("the cup test could not be kept; nothing was changed.")
        return number

    def set_dose(self, advice: CatalystAdvice) -> bool:
        """Write down that this dose was set, now; False where it stands so already."""
        from analytics.catalyst.decisions import KIND, content_of

        now = self._now()
        name = f"{advice.material} {advice.catalyst_pct:.2f} % {now:%Y-%m-%d %H:%M}"
        return self.store.add_entry(KIND, name, content_of(advice), now=now)

    def unset_dose(self, name: str) -> bool:
        """Take back that a dose was set; False where there is none of that name."""
        from analytics.catalyst.decisions import KIND

        return self.store.withdraw_entry(KIND, name, now=self._now())

    def doses_set(self, material: str) -> DosesSet:
        """Every dose of a material written down as set, each with what came of it."""
        from analytics.catalyst.decisions import KIND, doses_set
        from analytics.catalyst.question import known_material

        kind, known = known_material(material), self.gel_model(material)
        return doses_set(self.store.entries(KIND), self.log(), self.knowledge, kind, known)
