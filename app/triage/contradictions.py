"""Signs that seldom go together under one fault: one of the two is likely misread, so say which to look at again."""

from collections.abc import Mapping, Sequence
from itertools import combinations
from operator import mul

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
    if not certain:
        return ()
    whole = sum(certain.values())
    shares = [share / whole for share in certain.values()]
    chances = [[know.chance[sign][kind][index] for kind in certain] for sign, index, _ in seen]
    weighed = [list(map(mul, shares, each)) for each in chances]
    alone = [sum(each) for each in weighed]
    found: list[tuple[float, int, int]] = []
    for first, second in combinations(range(len(seen)), 2):
        if CODES in (seen[first][0], seen[second][0]) or (_healthy(seen[first]) and _healthy(seen[second])):
            continue
        together = sum(map(mul, weighed[first], chances[second])) / (alone[first] * alone[second])
        if together < SELDOM and max(map(min, chances[first], chances[second])) < EXPLAINED:
            found.append((together, first, second))
    found.sort(key=lambda each: each[0])
    fits = [_fit(shares, chances, each) for each in range(len(seen))] if found else []
    return tuple(_said(seen, first, second, fits) for _, first, second in found[:AT_MOST])


def _healthy(observed: Observed) -> bool:
    return observed[1] == 0


def _said(seen: Sequence[Observed], first: int, second: int, fits: Sequence[float]) -> Contradiction:
    doubtful = seen[first if fits[first] <= fits[second] else second]
    sentence = (
        f"{seen[first][2]} and {seen[second][2]} seldom go together: look again at {SIGNS[doubtful[0]].label.lower()}"
    )
    return Contradiction(seen[first][0], seen[second][0], doubtful[0], sentence)


def _fit(shares: Sequence[float], chances: Sequence[Sequence[float]], one: int) -> float:
    """How well one sign goes with all the others: below 1, the others speak against it."""
    others = list(shares)
    for place, each in enumerate(chances):
        if place != one:
            others = list(map(mul, others, each))
    both: float = sum(map(mul, others, chances[one]))
    alone: float = sum(map(mul, shares, chances[one]))
    return both / (sum(others) * alone)
