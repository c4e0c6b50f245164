"""The sentences of a comparison."""

from __future__ import annotations

from collections.abc import Sequence

from analytics.columns import column
from analytics.columns import lower_first as lower
from analytics.settling.answer import Comparison, Finding
from analytics.settling.ways import Way

CANNOT_KNOW = (
    "Who picked the way for each part, and why: a way kept for the easy parts looks good.",
    "Anything nobody wrote down that went along with one of the two ways.",
    "Ways and figures that were never used here.",
    "Ask twenty such questions of a log and about one looks settled by luck alone.",
)


def field_title(field: str) -> str:
    """A field by its name, with a capital."""
    name = column(field).name
    return name[:1].upper() + name[1:]


def listed(names: Sequence[str], last: str = "and") -> str:
    """ "mould, season and person"."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"


def where_words(where: Sequence[Way]) -> str:
    """What parts the question is about; empty for all."""
    return listed([f"{column(way.field).name} {way.said}" for way in where]) if where else ""


def outside(way: Way) -> str:
    """Why a part is outside the question."""
    return f"{column(way.field).name} not {way.said}, or not written"


def in_hundred(share: float) -> str:
    """A share as parts in 100, without false precision."""
    hundred = 100 * share
    return "under 1" if 0 < hundred < 0.95 else f"{hundred:.0f}"


def upper(text: str) -> str:
    """The text with a capital to begin a sentence."""
    return text[:1].upper() + text[1:]


def way_words(made: Comparison, side: str) -> str:
    """One way with its field: "wax coats 3 or more"."""
    said = made.a.said if side == "a" else made.b.said
    return f"{lower(made.field_name)} {said}"


def fault_words(title: str) -> str:
    """A fault inside a sentence: no capital, no remark in brackets."""
    return lower(title.partition(" (")[0])


def sentence(made: Comparison) -> str:
    """The answer in one sentence, with what stands in its way."""
    return made.findings[0].sentence


def finding_words(finding: Finding, made: Comparison) -> str:
    """What one fault says of the two ways, in a sentence or two."""
    if not (made.a.parts or made.b.parts):
        return (
            f"No part in the log has a result and one of the two ways ({lower(made.field_name)})."
        )
    if finding.verdict == "never-alike" and not (made.a.parts and made.b.parts):
        told = [f"{s.parts or 'none'} with {s.said}" for s in (made.a, made.b)]
        return (
            f"The log does not have both ways: of the parts with a result, {listed(told)} "
            f"({lower(made.field_name)})."
        )
    if finding.verdict == "never-alike":
        return (
            "The two ways were never used under like conditions: no part of one could be set "
            f"beside a part of the other ({made.a.parts} and {made.b.parts} parts with a result)."
        )
    fault = fault_words(finding.title)
    if finding.adjusted is None:
        return (
            f"Not enough jobs to tell about {fault}: {made.a.compared} and {made.b.compared} "
            f"parts can be compared like with like; needed: {made.least}."
        )
    return f"{_verdict_words(finding, made, fault)}{_but(finding, made)}"


def _verdict_words(finding: Finding, made: Comparison, fault: str) -> str:
    found = finding.adjusted
    assert found is not None
    shares = {"a": found.share_a, "b": found.share_b}
    alike = f"with the same {listed(made.held)}"
    if finding.verdict in ("a-better", "b-better"):
        better, other = ("a", "b") if finding.verdict == "a-better" else ("b", "a")
        ends = sorted((100 * abs(found.low), 100 * abs(found.high)))
        return (
            f"Less {fault}, {way_words(made, better)}: {in_hundred(shares[better])} in 100 parts. "
            f"{upper(way_words(made, other))}: {in_hundred(shares[other])} in 100, {alike}. The "
            f"difference could be {ends[0]:.0f} to {ends[1]:.0f} in 100."
        )
    counts = (
        f"{way_words(made, 'a')}: {in_hundred(found.share_a)} in 100 parts; "
        f"{way_words(made, 'b')}: {in_hundred(found.share_b)} in 100, {alike}"
    )
    reach = f"{_more(found.low)} to {_more(found.high)} in 100 the first way"
    if finding.verdict == "alike":
        return f"Practically alike for {fault}. {upper(counts)}: {reach}."
    return f"Not enough jobs to tell about {fault}. {upper(counts)}. It could be {reach}."


def _more(difference: float) -> str:
    """ "7 fewer", "3 more", per 100 parts."""
    hundred = round(100 * difference)
    return f"{abs(hundred)} {'fewer' if hundred < 0 else 'more'}"


def _but(finding: Finding, made: Comparison) -> str:
    if finding.verdict not in ("a-better", "b-better") or not made.tangled:
        return ""
    fields = listed([column(tangle.field).name for tangle in made.tangled])
    return f" But {fields} differed as well, so the log alone cannot tell which of them did it."


def to_do(made: Comparison) -> tuple[str, ...]:
    """What to do with the answer."""
    main = made.findings[0]
    trial = "A fair trial settles it: chance picks the way for each part (laylog trial new)."
    if made.verdict in ("a-better", "b-better"):
        if made.tangled:
            return ("Do not change anything on this alone.", trial)
        better = way_words(made, "a" if made.verdict == "a-better" else "b")
        return (f"Make it the rule: {better}. Keep writing it down, and look again in a month.",)
    if made.verdict == "alike":
        return ("Take the quicker or cheaper way; this fault does not depend on it.",)
    if not (made.a.parts or made.b.parts):
        return (f"Write down for each part: {lower(made.field_name)}, and how it came out.", trial)
    if made.verdict == "never-alike":
        return ("Use both ways on the same mould, in the same weeks, by the same person.", trial)
    more = (
        f"About {_round(main.more_each)} more parts of each way" if main.more_each else "More parts"
    )
    aim = "are needed before the log may speak"
    if main.adjusted is not None:
        seen = abs(main.adjusted.difference)
        size = "this size" if seen >= made.matters else f"{100 * made.matters:.3g} in 100"
        aim = f"would tell a difference of {size}"
    return (f"{more}, under like conditions, {aim}.", trial)


def _round(number: int | None) -> int:
    """A number of parts to two figures: more would be false precision."""
    count = number or 0
    return count if count < 100 else round(count, -1) if count < 1000 else round(count, -2)


def warnings(made: Comparison, strata: int) -> tuple[str, ...]:
    """What makes the comparison weaker than it looks."""
    told = []
    whole = made.a.parts + made.b.parts
    if not made.compared:
        told.append("The two ways were never used under like conditions.")
    elif made.compared < whole / 2:
        told.append(
            f"Only {made.compared} of {whole} parts could be compared: the others had one way only "
            f"with the same {listed(made.held)}."
        )
    loose = [name for name in ("mould", "season", "person") if name not in made.held]
    if made.compared and loose and strata:
        told.append(
            f"Not held alike: {listed(loose)}; too few parts would have been left to compare."
        )
    return tuple(told)
