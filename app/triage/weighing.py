"""All a ranking rests on, worked out once: who, how likely before, and how likely each is to show what was seen."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.triage.checks import check_named
from app.triage.everyone import kind_of, refuse_strangers, with_standing
from app.triage.facts import Facts
from app.triage.inputs import Candidate, CheckResult, Evidence, Repaired, Touched
from app.triage.knowledge.overrules import Overrule
from app.triage.knowledge.table import Knowledge, knowledge
from app.triage.priors import Prior, weigh
from app.triage.seen import Seen, Sorted, sort_seen
from app.triage.two_faults import REPAIRED, checks_that_count, repaired_once, shown_before


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing seen: how likely each sort of candidate shows it, and how the reason for each reads."""

    sign: str
    chance: Mapping[str, float]
    reason: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Checked:
    """What the direct checks of one candidate say: by how much they multiply its odds, and what they were."""

    by: float
    reason: str


@dataclass(frozen=True, slots=True)
class Weighing:
    """One case, weighed. Lists run over `everyone`.

    `weights` are their priors, `untouched` the same had nothing been touched. `kinds` are the rows of the table they
    read from now on, `sorts` the same but for a candidate `repaired` (its place), which is a sort of its own. `told` is
    what was seen, since the repair if there was one.
    """

    everyone: list[Candidate]
    kinds: list[str]
    sorts: list[str]
    know: Knowledge
    priors: list[Prior]
    weights: list[float]
    untouched: list[float]
    observations: list[Observation]
    checked: dict[str, Checked]
    evidence: Evidence
    told: Sorted
    repaired: int | None = None

    def mass(self) -> dict[str, float]:
        """Each sort's share before anything was seen."""
        mass: dict[str, float] = {}
        for sort, weight in zip(self.sorts, self.weights, strict=True):
            mass[sort] = mass.get(sort, 0.0) + weight
        total = sum(mass.values())
        return {sort: weight / total for sort, weight in mass.items()}


def weighing(  # noqa: PLR0913 - as much as a ranking can rest on
    facts: Facts,
    candidates: Sequence[Candidate],
    touched: Sequence[Touched] = (),
    evidence: Evidence | None = None,
    taught: Mapping[str, int] | None = None,
    *,
    overrules: Sequence[Overrule] = (),
) -> Weighing:
    """Weigh one case; what is given is as for `app.triage.model.rank`.

    Raises KeyError for an unknown sign, method, kind, or touched, checked or repaired candidate, ValueError for an
    unknown outcome.
    """
    evidence = evidence or Evidence()
    first = evidence.repaired
    everyone = with_standing(facts, candidates)
    checks = evidence.checks if first is None else checks_that_count(evidence.checks, first)
    named = [*(touch.candidate_id for touch in touched), *(check.candidate_id for check in checks)]
    refuse_strangers(everyone, named if first is None else [*named, first.candidate_id])
    know = knowledge(facts, tuple(overrules))
    kinds = [kind_of(candidate) for candidate in everyone]
    priors = weigh(everyone, touched, taught or {})
    told = sort_seen(know, evidence.signs, evidence.codes)
    single = Weighing(
        everyone,
        kinds,
        kinds,
        know,
        priors,
        [prior.weight for prior in priors],
        [prior.untouched for prior in priors],
        _alone(know, told.seen, {kind: kind for kind in kinds}),
        _checked(everyone, checks),
        Evidence(evidence.signs, evidence.codes, checks, first),
        told,
    )
    return single if first is None else _second(single, first)


def _second(single: Weighing, first: Repaired) -> Weighing:
    """The case weighed anew for a second fault, the first one being repaired."""
    place = next(place for place, candidate in enumerate(single.everyone) if candidate.id == first.candidate_id)
    sorts = [REPAIRED if at == place else kind for at, kind in enumerate(single.kinds)]
    rows = dict(zip(sorts, single.kinds, strict=True))
    before = sort_seen(single.know, first.signs, first.codes)
    told = single.told
    return replace(
        single,
        sorts=sorts,
        weights=repaired_once(single.weights, place),
        untouched=repaired_once(single.untouched, place),
        observations=[
            *_before(single.know, before.seen, rows, single.everyone[place].label),
            *_alone(single.know, told.seen, rows),
        ],
        told=Sorted(
            told.seen,
            _once(told.unused_codes, before.unused_codes),
            _once(told.unused_signs, before.unused_signs),
        ),
        repaired=place,
    )


def _alone(know: Knowledge, seen: Sequence[Seen], rows: Mapping[str, str]) -> list[Observation]:
    return [
        Observation(
            each.sign,
            {sort: know.chance[each.sign][kind][each.index] for sort, kind in rows.items()},
            {sort: f"{each.reason}: {know.says[each.sign][kind][each.index]}" for sort, kind in rows.items()},
        )
        for each in seen
    ]


def _before(know: Knowledge, seen: Sequence[Seen], rows: Mapping[str, str], repaired: str) -> list[Observation]:
    """What was seen before the repair: the repaired fault's doing, or that and a second one's."""
    first = rows[REPAIRED]
    found = []
    for each in seen:
        chance = {sort: shown_before(know, each, first, kind) for sort, kind in rows.items()}
        chance[REPAIRED] = know.chance[each.sign][first][each.index]
        words = f"before {repaired} was repaired, {each.reason}"
        says = know.says[each.sign]
        reason = {sort: f"{words}: beside that fault, {says[kind][each.index]}" for sort, kind in rows.items()}
        reason[REPAIRED] = f"{words}: {says[first][each.index]}"
        found.append(Observation(each.sign, chance, reason))
    return found


def _checked(everyone: Sequence[Candidate], checks: Sequence[CheckResult]) -> dict[str, Checked]:
    by_id = {candidate.id: candidate for candidate in everyone}
    found: dict[str, Checked] = {}
    for result in checks:
        check = check_named(by_id[result.candidate_id], result.method)
        fault = result.result == "fault"
        by = check.hit / check.false_alarm if fault else (1 - check.hit) / (1 - check.false_alarm)
        words = f"{check.label.lower()}: {'a fault' if fault else 'nothing found'}"
        earlier = found.get(result.candidate_id)
        found[result.candidate_id] = (
            Checked(by, words) if earlier is None else Checked(earlier.by * by, f"{earlier.reason}; {words}")
        )
    return found


def _once(*lists: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each for those in lists for each in those))
