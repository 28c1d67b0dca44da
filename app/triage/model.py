"""Who is to blame: one fault at a time, posterior = prior x product of P(outcome | suspect), in logarithms.

Pure and fast: the table is made once a car, candidates that share a row share the arithmetic.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from math import log

from app.triage.answers import Contradiction, Factor, FactorKind, NextStep, RankedSuspect, Ranking, RoleShare
from app.triage.at_hand import AtHand
from app.triage.contradictions import contradictions
from app.triage.everyone import kind_of, standing_candidates, with_standing
from app.triage.facts import Facts, facts_of
from app.triage.inputs import Candidate, CheckResult, Evidence, Repaired, Touched
from app.triage.knowledge.overrules import Overrule
from app.triage.next_step import what_next
from app.triage.posterior import normalised
from app.triage.two_faults import DID_NOT_HOLD
from app.triage.weighing import Weighing, weighing

__all__ = [
    "AtHand",
    "Candidate",
    "CheckResult",
    "Contradiction",
    "Evidence",
    "Factor",
    "FactorKind",
    "Facts",
    "NextStep",
    "Overrule",
    "RankedSuspect",
    "Ranking",
    "Repaired",
    "RoleShare",
    "Touched",
    "facts_of",
    "kind_of",
    "rank",
    "standing_candidates",
    "with_standing",
]


def rank(  # noqa: PLR0913 - all a ranking can rest on, most of it seldom given
    facts: Facts,
    candidates: Sequence[Candidate],
    touched: Sequence[Touched] = (),
    evidence: Evidence | None = None,
    taught: Mapping[str, int] | None = None,
    *,
    overrules: Sequence[Overrule] = (),
    at_hand: AtHand | None = None,
) -> Ranking:
    """Rank all candidates by how likely each is the one fault, with reasons, and say what to do next.

    With a fault repaired and the car still not right (`evidence.repaired`) they are ranked as the second one, the
    repaired one among them for the case that its repair did not hold. `taught` counts this garage's closed tickets by
    role or suspect; `overrules` are what its fitter knows better about this car than the table. The standing suspects
    are added when missing. Raises KeyError for an unknown sign, method, kind or touched candidate, ValueError for an
    unknown outcome.
    """
    case = weighing(facts, candidates, touched, evidence, taught, overrules=overrules)
    mass = case.mass()
    by_sort = {sort: sum(log(each.chance[sort]) for each in case.observations) for sort in mass}
    likelihood = [by_sort[sort] for sort in case.sorts]
    for place, candidate in enumerate(case.everyone):
        if candidate.id in case.checked:
            likelihood[place] += log(case.checked[candidate.id].by)
    chance = normalised([log(weight) + each for weight, each in zip(case.weights, likelihood, strict=True)])
    without = normalised([log(weight) + each for weight, each in zip(case.untouched, likelihood, strict=True)])
    suspects = [
        RankedSuspect(candidate.id, candidate.role.value, candidate.label, p, p_without, why, touches)
        for candidate, p, p_without, why, touches in zip(
            case.everyone, chance, without, _why(case, mass), _from_touches(case), strict=True
        )
    ]
    to_do = what_next(
        facts, case.know, list(zip(case.everyone, case.kinds, chance, strict=True)), case.evidence, at_hand or AtHand()
    )
    return Ranking(
        suspects=tuple(sorted(suspects, key=lambda suspect: -suspect.probability)),
        roles=_role_shares(suspects),
        next=to_do.steps,
        contradictions=contradictions(
            case.know, [(each.sign, each.index, each.reason) for each in case.told.seen], _by_kind(case, mass)
        ),
        unused_codes=case.told.unused_codes,
        unused_signs=case.told.unused_signs,
        minutes_left=to_do.minutes_left,
        given=None if case.repaired is None else case.everyone[case.repaired].id,
    )


def _by_kind(case: Weighing, mass: Mapping[str, float]) -> dict[str, float]:
    found: dict[str, float] = {}
    for sort, kind in dict(zip(case.sorts, case.kinds, strict=True)).items():
        found[kind] = found.get(kind, 0.0) + mass[sort]
    return found


def _from_touches(case: Weighing) -> list[float]:
    """The share of each one's weight that its touches added; whether a repair held is no matter of touches."""
    shares = [1.0 - prior.untouched / prior.weight for prior in case.priors]
    if case.repaired is not None:
        shares[case.repaired] = 0.0
    return shares


def _why(case: Weighing, mass: Mapping[str, float]) -> list[tuple[Factor, ...]]:
    """Each candidate's factors, strongest first: a sign's against the average suspect of this car."""
    average = [sum(share * each.chance[sort] for sort, share in mass.items()) for each in case.observations]
    by_sort = {
        sort: [
            Factor("sign", each.sign, each.chance[sort] / usual, each.reason[sort])
            for each, usual in zip(case.observations, average, strict=True)
        ]
        for sort in mass
    }
    ordered = {sort: tuple(sorted(factors, key=_strength)) for sort, factors in by_sort.items()}
    strengths = {sort: [_strength(factor) for factor in factors] for sort, factors in ordered.items()}
    found = []
    for place, candidate in enumerate(case.everyone):
        own = [*case.priors[place].factors]
        if place == case.repaired:
            own.append(_not_held(case, place))
        if candidate.id in case.checked:
            own.append(Factor("check", candidate.id, case.checked[candidate.id].by, case.checked[candidate.id].reason))
        sort = case.sorts[place]
        found.append(_among(ordered[sort], strengths[sort], own) if own else ordered[sort])
    return found


def _among(signs: Sequence[Factor], strengths: Sequence[float], own: Sequence[Factor]) -> tuple[Factor, ...]:
    """A candidate's own factors put among those of its sort, which are in order already and shared by many."""
    factors, order = list(signs), list(strengths)
    for factor in own:
        place = bisect_right(order, _strength(factor))
        factors.insert(place, factor)
        order.insert(place, _strength(factor))
    return tuple(factors)


def _strength(factor: Factor) -> float:
    return -abs(log(factor.by))


def _not_held(case: Weighing, place: int) -> Factor:
    by = case.weights[place] / case.priors[place].weight
    return Factor("prior", "repaired", by, f"it was repaired; about 1 repair in {1 / DID_NOT_HOLD:.0f} does not hold")


def _role_shares(suspects: Sequence[RankedSuspect]) -> tuple[RoleShare, ...]:
    shares: dict[str, float] = {}
    for suspect in suspects:
        shares[suspect.role] = shares.get(suspect.role, 0.0) + suspect.probability
    ordered = sorted(shares.items(), key=lambda share: -share[1])
    return tuple(RoleShare(role, probability) for role, probability in ordered)
