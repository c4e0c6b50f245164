"""What was wrong with a part, from the shop's own words: defects, how bad, where, and outcome."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from analytics.records.words import any_of, plain, words

_SEPARATORS = re.compile(
    r"\s*([/;,+&|]|\b(?:and|with|also|plus|then|but)\b|(?<=\s)[-–—](?=\s)|\. |\.$)\s*"
)
_DASHES = frozenset("-–—")
_COUNTED = re.compile(r"\(?\b(?:x\s?\d+|\d+\s?x|\d+\s?(?:off|no)?)\b\)?|\(\d+\)")
_NEAR = 84
_CLEAR_LEAD = 6


@dataclass(frozen=True)
class Fault:
    """One fault of a part: the defect id, slight/moderate/severe, where, and the words typed."""

    defect: str
    severity: str | None
    place: str | None
    words: str


@dataclass(frozen=True)
class Verdict:
    """What a result cell says: faults, an outcome (good, faulty, rework, scrap), and the rest.

    `unknown` are pieces no word of which is known. `guessed` are spellings taken for a known word.
    """

    faults: tuple[Fault, ...] = ()
    outcome: str | None = None
    unknown: tuple[str, ...] = ()
    guessed: tuple[tuple[str, str], ...] = ()


class FaultReader:
    """Reads result cells with the shop's words for defects and outcomes.

    Parameters
    ----------
    defect_words : mapping
        Lower-case spelling to defect id.
    outcome_words : mapping
        Lower-case spelling to good, faulty, rework or scrap.
    """

    def __init__(self, defect_words: Mapping[str, str], outcome_words: Mapping[str, str]) -> None:
        self._defects = {_spelling(word): defect for word, defect in defect_words.items()}
        self._outcomes = {_spelling(word): outcome for word, outcome in outcome_words.items()}
        self._phrase = _phrases(self._defects)
        split = [word for word in self._defects if _SEPARATORS.search(word)]
        self._kept_whole = _phrases(split)

    def read(self, text: str) -> Verdict:
        """The verdict of one cell."""
        said = _spelling(text)
        if said in self._outcomes:
            return Verdict(outcome=self._outcomes[said])
        if said in self._defects:
            return Verdict(faults=(self._fault(said, "", text.strip()),))
        pieces = self._read_pieces(text)
        outcomes = [piece.outcome for piece in pieces if piece.outcome]
        return Verdict(
            faults=_once(fault for piece in pieces for fault in piece.faults),
            outcome=_worst(outcomes),
            unknown=tuple(word for piece in pieces for word in piece.unknown),
            guessed=tuple(pair for piece in pieces for pair in piece.guessed),
        )

    def _read_pieces(self, text: str) -> list[Verdict]:
        """The verdicts of the pieces of a cell; one that only says how bad or where goes to the
        fault before it, and a remark after a dash is left as words."""
        read: list[Verdict] = []
        for piece, remark in self._pieces(text):
            verdict = self._read_piece(piece)
            detail = _detail_of(piece) if read and read[-1].faults and not verdict.faults else None
            if detail:
                read[-1] = _detailed(read[-1], *detail)
            elif not (remark and verdict.unknown and any(v.faults or v.outcome for v in read)):
                read.append(verdict)
        return read

    def defect_named(self, heading: str) -> str | None:
        """The defect a heading names and nothing else: "Pin-holes?" pinholes, "Tack time" none."""
        return self._defects.get(_spelling(re.sub(r"\([^)]*\)", "", heading)))

    def _pieces(self, text: str) -> list[tuple[str, bool]]:
        """The cell cut at / ; , + and the like, known phrases that hold such a mark kept whole.

        With each piece, whether it stands after a dash.
        """
        flat = re.sub(r"\s+", " ", text).strip()
        held: list[str] = []

        def hold(match: re.Match[str]) -> str:
            held.append(match[0])
            return f"\x00{len(held) - 1}\x01"

        marked = self._kept_whole.sub(hold, flat) if self._kept_whole else flat
        cut = _SEPARATORS.split(marked)
        pieces, dashed = [], False
        for number, piece in enumerate(cut):
            if number % 2:
                dashed = (dashed or piece in _DASHES) and piece != ";"
            elif piece.strip():
                whole = re.sub(r"\x00(\d+)\x01", lambda m: held[int(m[1])], piece).strip()
                pieces.append((whole, dashed))
        return pieces

    def _read_piece(self, piece: str) -> Verdict:
        said = _spelling(piece)
        if said in self._outcomes:
            return Verdict(outcome=self._outcomes[said])
        if _denied(said):
            return self._read_denial(said)
        found = list(self._phrase.finditer(said)) if self._phrase else []
        if found:
            rest = _COUNTED.sub(" ", self._phrase.sub(" ", said) if self._phrase else said)
            last = said.rpartition(" ")[2] if said.endswith(tuple(words().stressed)) else ""
            phrases = dict.fromkeys(_known(match[0]) for match in found)
            faults = [self._fault(phrase, rest, piece, last) for phrase in phrases]
            return Verdict(faults=_once(faults))
        return self._read_strange(piece, said)

    def _read_denial(self, said: str) -> Verdict:
        """ "no pinholes" names no fault; nor does it say the part was good in every way."""
        known = self._phrase.search(said) if self._phrase else None
        return Verdict() if known else Verdict(unknown=(said,))

    def _fault(self, phrase: str, rest: str, piece: str, last: str = "") -> Fault:
        severity, left = _split_severity(rest)
        first, _, end = phrase.rpartition(" ")
        if severity is None and (last != end or first in self._defects):
            severity = words().stressed.get(last or end)
        return Fault(self._defects[phrase], severity, _place(left), piece)

    def _read_strange(self, piece: str, said: str) -> Verdict:
        """A piece without a known phrase: an outcome word in it, a near spelling, or unknown."""
        severity, left = _split_severity(re.sub(r"[^\w\s]", " ", _COUNTED.sub(" ", said)))
        core = " ".join(w for w in left.split() if w not in words().place_filler)
        for spelling, outcome in self._outcomes.items():
            if len(spelling) > 3 and re.search(rf"\b{re.escape(spelling)}\b", said):
                return Verdict(outcome=outcome)
        near = self._near(core) or self._near(_without_places(core))
        if near is None:
            return Verdict(unknown=(piece,)) if core or severity else Verdict()
        if near in self._outcomes:
            return Verdict(outcome=self._outcomes[near], guessed=((piece, near),))
        fault = Fault(self._defects[near], severity, _place(left), piece)
        return Verdict(faults=(fault,), guessed=((piece, near),))

    def _near(self, core: str) -> str | None:
        """The known word a misspelling stands for, when no other meaning comes close."""
        if len(core) < 4:
            return None
        from rapidfuzz import fuzz, process

        meanings = {**self._outcomes, **self._defects}
        near = process.extract(core, list(meanings), scorer=fuzz.ratio, score_cutoff=70, limit=12)
        if not near or near[0][1] < _NEAR:
            return None
        best, score = near[0][0], near[0][1]
        if not _word_by_word(core, best):
            return None
        rivals = [s for word, s, _ in near if meanings[word] != meanings[best]]
        return best if not rivals or score - max(rivals) >= _CLEAR_LEAD else None


def _word_by_word(typed: str, known: str) -> bool:
    """Whether each word typed is a slip or two from the known one in its place.

    "lost its shine" is near "lost its shape" as a whole, but no misspelling of it.
    """
    from rapidfuzz.distance import OSA

    pairs = list(zip(typed.split(), known.split(), strict=False))
    if len(typed.split()) != len(known.split()):
        return OSA.distance(typed.replace(" ", ""), known.replace(" ", "")) <= 1
    return all(OSA.distance(one, other) <= (1 if len(other) < 6 else 2) for one, other in pairs)


def _spelling(text: str) -> str:
    """A phrase in lower case, hyphens as blanks, without marks at its ends."""
    flat = plain(text).replace("-", " ").replace("_", " ").replace("'", "")
    return re.sub(r"\s+", " ", flat).strip(' .!?:*()[]"')


def _known(found: str) -> str:
    return re.sub(r"\s+", " ", found).strip()


def _phrases(spellings: Iterable[str]) -> re.Pattern[str] | None:
    listed = list(spellings)
    if not listed:
        return None
    return re.compile(rf"(?<![\w])(?:{any_of(listed)})(?![\w])", re.IGNORECASE)


@lru_cache(maxsize=1)
def _severities() -> re.Pattern[str]:
    return re.compile(rf"(?<![\w])(?:{any_of(words().severity)})(?![\w])")


def severity_of(text: str) -> str | None:
    """How bad a cell says a fault is: slight, moderate, severe, or None when it does not."""
    said = plain(text)
    return said if said in ("slight", "moderate", "severe") else words().severity.get(said)


def _split_severity(text: str) -> tuple[str | None, str]:
    """The worst severity word in the text, and the text without such words."""
    found = {words().severity[word] for word in _severities().findall(text)}
    rest = re.sub(r"\s+", " ", _severities().sub(" ", text)).strip()
    for severity in ("severe", "moderate", "slight"):
        if severity in found:
            return severity, rest
    return None, rest


def _place(text: str) -> str | None:
    """Where on the part, when the words left over name a place."""
    known = words().places | words().place_filler
    listed = [word for word in re.sub(r"[^\w\s]", " ", text).split() if word in known]
    if not any(word in words().places for word in listed):
        return None
    lead = {
        "nr",
        "the",
        "of",
        "a",
        "in",
        "on",
        "at",
        "to",
        "was",
        "is",
        "still",
        "had",
        "has",
        "got",
    }
    while listed and listed[0] in lead:
        listed.pop(0)
    return " ".join(listed) or None


def _detail_of(piece: str) -> tuple[str | None, str | None] | None:
    """How bad and where, of a piece that says nothing else; None when it says more."""
    severity, left = _split_severity(re.sub(r"[^\w\s]", " ", _spelling(piece)))
    place = _place(left)
    known = words().places | words().place_filler
    if not (severity or place) or not all(word in known for word in left.split()):
        return None
    return severity, place


def _detailed(verdict: Verdict, severity: str | None, place: str | None) -> Verdict:
    """The verdict with how bad and where put to its last fault, where that says neither."""
    *earlier, last = verdict.faults
    told = replace(last, severity=last.severity or severity, place=last.place or place)
    return replace(verdict, faults=(*earlier, told))


def _without_places(text: str) -> str:
    return " ".join(word for word in text.split() if word not in words().places)


def _denied(said: str) -> bool:
    return re.match(rf"(?:{any_of(words().negation)})\b", said) is not None


def _once(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Each defect once, the first mention standing for all."""
    kept: dict[str, Fault] = {}
    for fault in faults:
        kept.setdefault(fault.defect, fault)
    return tuple(kept.values())


def _worst(outcomes: Iterable[str]) -> str | None:
    listed = set(outcomes)
    return next((o for o in ("scrap", "rework", "faulty", "good") if o in listed), None)
