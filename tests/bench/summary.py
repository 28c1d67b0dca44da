"""Many verdicts as figures: how often triage is right, what nobody could tell apart, what table and bench dispute."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from tomllib import loads

from app.airpath.words import Layout
from app.triage.model import with_standing
from app.triage.priors import weigh
from app.triage.starter import candidates_of, facts_of_starter
from tests.bench.judging import Verdict, doubted, faults, starter

LISTED = Path(__file__).with_name("disagreements.toml")
#: Whose word holds where bench and table disagree.
VERDICTS = frozenset({"bench", "table", "both"})

Dispute = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Score:
    """Shares of faults whose role came first and among three, and the mean number of direct checks to the culprit.

    `best_first` and `best_three` are what nobody could beat on these signs alone: faults of several roles that show
    exactly the same are told apart by history and direct checks, not by signs.
    """

    count: int
    first: float
    three: float
    checks: float
    best_first: float
    best_three: float


def share_of(verdict: Verdict) -> float:
    """How much a fault counts when weighed by the app's own base rates: its candidate's, split over its variants."""
    return _rates(verdict.layout)[verdict.fault.candidate] / _variants(verdict.layout)[verdict.fault.candidate]


def evenly(_verdict: Verdict) -> float:
    """Every fault counts the same."""
    return 1.0


def score(verdicts: Sequence[Verdict], weight: Callable[[Verdict], float]) -> Score:
    """Score verdicts that show at least one sign. Raises ValueError when none does."""
    shown = [verdict for verdict in verdicts if verdict.shown]
    total = sum(weight(verdict) for verdict in shown)
    if not total:
        raise ValueError("no fault shows any sign")

    def share(chosen: Iterable[Verdict]) -> float:
        return sum(weight(verdict) for verdict in chosen) / total

    best_first, best_three = _unbeatable(shown, weight)
    return Score(
        len(shown),
        share(verdict for verdict in shown if verdict.role_place == 1),
        share(verdict for verdict in shown if verdict.role_place <= 3),
        sum(weight(verdict) * verdict.checks for verdict in shown) / total,
        best_first / total,
        best_three / total,
    )


def _unbeatable(shown: Sequence[Verdict], weight: Callable[[Verdict], float]) -> tuple[float, float]:
    alike: dict[tuple[Layout, frozenset[tuple[str, str]]], dict[str, float]] = defaultdict(dict)
    for verdict in shown:
        roles = alike[verdict.layout, frozenset(verdict.signs.items())]
        roles[verdict.fault.role.value] = roles.get(verdict.fault.role.value, 0.0) + weight(verdict)
    ranked = [sorted(roles.values(), reverse=True) for roles in alike.values()]
    return sum(masses[0] for masses in ranked), sum(sum(masses[:3]) for masses in ranked)


def disputes(verdicts: Iterable[Verdict]) -> dict[Dispute, list[tuple[Verdict, float]]]:
    """What the bench shows and the table thinks unlikely: by row, sign and outcome, each with where and the chance."""
    found: dict[Dispute, list[tuple[Verdict, float]]] = defaultdict(list)
    for verdict in verdicts:
        if not verdict.shown:
            continue
        for sign, outcome, chance in doubted(verdict):
            found[verdict.kind, sign, outcome].append((verdict, chance))
    return dict(sorted(found.items()))


def listed() -> dict[Dispute, dict[str, str]]:
    """The disagreements that have been judged, from `disagreements.toml`. Raises ValueError for one judged twice."""
    found: dict[Dispute, dict[str, str]] = {}
    for each in loads(LISTED.read_text(encoding="utf-8"))["disagreement"]:
        dispute = (each["role"], each["sign"], each["outcome"])
        if dispute in found:
            raise ValueError(f"judged twice: {dispute}")
        found[dispute] = each
    return found


@lru_cache
def _rates(layout: Layout) -> dict[str, float]:
    everyone = with_standing(facts_of_starter(starter(layout)), candidates_of(starter(layout)))
    return {each.id: prior.untouched for each, prior in zip(everyone, weigh(everyone, (), {}), strict=True)}


@lru_cache
def _variants(layout: Layout) -> Counter[str]:
    return Counter(fault.candidate for fault in faults(layout))
