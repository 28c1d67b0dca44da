"""Signs that seldom go together under one fault: one of the two is likely misread, so say which to look at again."""

from collections.abc import Mapping, Sequence
from itertools import combinations
from math import prod

from app.airpath.words import Suspect
from app.triage.answers import Contradiction
from app.triage.knowledge.table import Knowledge
from app.triage.signs import CODES, SIGNS

SELDOM = 0.5  # the two together are under half as likely as if they had nothing to do with each other
EXPLAINED = 0.15  # a suspect that shows each at least this often explains both
AT_MOST = 3

#: A sign, the place of its outcome, and how it reads.
Observed = tuple[str, int, str]


def contradictions(know: Knowledge, seen: Sequence[Observed], mass: Mapping[str, float]) -> tuple[Contradiction, ...]:
    """Pairs of signs that speak against each other, worst first; `mass` is each kind's prior share.

    Only pairs in which each shows something amiss or one that should follow is missing; none that one suspect explains.
    """
    certain = {kind: share for kind, share in mass.items() if kind != Suspect.SOMETHING_ELSE}
    found: list[tuple[float, Contradiction]] = []
    for first, second in combinations(seen, 2):
        if CODES in (first[0], second[0]) or (_healthy(first) and _healthy(second)):
            continue
        together = _lift(know, certain, first, second)
        if together >= SELDOM or _explained(know, certain, first, second):
            continue
        doubtful = first if _fit(know, certain, seen, first) <= _fit(know, certain, seen, second) else second
        label = SIGNS[doubtful[0]].label.lower()
        sentence = f"{first[2]} and {second[2]} seldom go together: look again at {label}"
        found.append((together, Contradiction(first[0], second[0], doubtful[0], sentence)))
    found.sort(key=lambda each: each[0])
    return tuple(each for _, each in found[:AT_MOST])


def _healthy(observed: Observed) -> bool:
    return observed[1] == 0


def _chance(know: Knowledge, kind: str, observed: Sequence[Observed]) -> float:
    return prod(know.chance[sign][kind][index] for sign, index, _ in observed)


def _total(know: Knowledge, mass: Mapping[str, float], observed: Sequence[Observed]) -> float:
    return sum(share * _chance(know, kind, observed) for kind, share in mass.items()) / sum(mass.values())


def _lift(know: Knowledge, mass: Mapping[str, float], first: Observed, second: Observed) -> float:
    apart = _total(know, mass, [first]) * _total(know, mass, [second])
    return _total(know, mass, [first, second]) / apart


def _explained(know: Knowledge, mass: Mapping[str, float], first: Observed, second: Observed) -> bool:
    return any(min(_chance(know, kind, [first]), _chance(know, kind, [second])) >= EXPLAINED for kind in mass)


def _fit(know: Knowledge, mass: Mapping[str, float], seen: Sequence[Observed], one: Observed) -> float:
    """How well one sign goes with all the others: below 1, the others speak against it."""
    others = [each for each in seen if each is not one]
    return _total(know, mass, seen) / (_total(know, mass, others) * _total(know, mass, [one]))
