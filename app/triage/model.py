"""Who is to blame: one fault at a time, posterior = prior x product of P(outcome | suspect), in logarithms.

Pure and fast: the table is made once a car, candidates that share a row share the arithmetic.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log

from app.airpath.words import SUSPECT_LABEL, Role, Suspect
from app.triage.answers import Contradiction, Factor, FactorKind, NextStep, RankedSuspect, Ranking, RoleShare
from app.triage.checks import THIN_BELOW_MM, check_named
from app.triage.codes import GROUP_LABEL, NO_CODES, sort_codes
from app.triage.contradictions import contradictions
from app.triage.facts import Facts, facts_of
from app.triage.inputs import Candidate, CheckResult, Evidence, Touched
from app.triage.knowledge.grades import CHARGE_SMALL
from app.triage.knowledge.table import OUTCOMES, Knowledge, knowledge
from app.triage.next_step import next_steps
from app.triage.posterior import normalised
from app.triage.priors import Prior, weigh
from app.triage.signs import CODES, SIGNS

__all__ = [
    "Candidate",
    "CheckResult",
    "Contradiction",
    "Evidence",
    "Factor",
    "FactorKind",
    "Facts",
    "NextStep",
    "RankedSuspect",
    "Ranking",
    "RoleShare",
    "Seen",
    "Touched",
    "facts_of",
    "kind_of",
    "rank",
    "standing_candidates",
    "what_was_seen",
]


@dataclass(frozen=True, slots=True)
class Seen:
    """One observation the table can use: a sign and the place of its outcome in OUTCOMES[sign]."""

    sign: str
    outcome: str
    index: int
    reason: str


def standing_candidates(facts: Facts) -> tuple[Candidate, ...]:
    """Suspects that are nobody's component: the power limit of a boosted engine, and always something else."""
    standing = [Candidate(Suspect.SOMETHING_ELSE.value, Suspect.SOMETHING_ELSE, SUSPECT_LABEL[Suspect.SOMETHING_ELSE])]
    if facts.turbocharged:
        limit = Suspect.POWER_LIMIT
        standing.insert(0, Candidate(limit.value, limit, SUSPECT_LABEL[limit]))
    return tuple(standing)


def kind_of(candidate: Candidate) -> str:
    """Which row of the table a candidate reads: its role, or the thin charge line's."""
    thin = candidate.bore_mm is not None and candidate.bore_mm < THIN_BELOW_MM
    if candidate.role is Role.CHARGE and thin:
        return CHARGE_SMALL
    return candidate.role.value


def with_standing(facts: Facts, candidates: Sequence[Candidate]) -> list[Candidate]:
    """The candidates, and those standing ones that are not among them."""
    roles = {candidate.role for candidate in candidates}
    return [*candidates, *(each for each in standing_candidates(facts) if each.role not in roles)]


def what_was_seen(know: Knowledge, evidence: Evidence) -> tuple[tuple[Seen, ...], tuple[str, ...], tuple[str, ...]]:
    """Split evidence into what the table can use, codes it cannot, and signs that tell nothing on this car.

    Raises KeyError for an unknown sign, ValueError for an outcome that is not the sign's.
    """
    seen: list[Seen] = []
    unused: list[str] = []
    for sign, outcome in evidence.signs.items():
        if outcome not in OUTCOMES[sign]:
            raise ValueError(f"{outcome} is not an outcome of {sign}")
        index = OUTCOMES[sign].index(outcome)
        if sign in know.speaks:
            seen.append(Seen(sign, outcome, index, SIGNS[sign].phrase(outcome)))
        else:
            unused.append(sign)
    if evidence.codes is None:
        return tuple(seen), (), tuple(unused)
    groups, unused_codes = sort_codes(evidence.codes)
    for group, codes in groups:
        reason = f"{', '.join(codes)}: {GROUP_LABEL[group]}"
        seen.append(Seen(CODES, group, OUTCOMES[CODES].index(group), reason))
    if not evidence.codes:
        seen.append(Seen(CODES, NO_CODES, OUTCOMES[CODES].index(NO_CODES), GROUP_LABEL[NO_CODES]))
    return tuple(seen), unused_codes, tuple(unused)


def rank(
    facts: Facts,
    candidates: Sequence[Candidate],
    touched: Sequence[Touched] = (),
    evidence: Evidence | None = None,
    taught: Mapping[str, int] | None = None,
) -> Ranking:
    """Rank all candidates by how likely each is the one fault, with reasons, and say what to do next.

    `taught` counts this garage's closed tickets by role or suspect. The standing suspects are added when missing.
    Raises KeyError for an unknown sign, method or touched candidate, ValueError for an unknown outcome.
    """
    evidence = evidence or Evidence()
    everyone = with_standing(facts, candidates)
    _refuse_strangers(everyone, touched, evidence.checks)
    know = knowledge(facts)
    priors = weigh(everyone, touched, taught or {})
    seen, unused_codes, unused_signs = what_was_seen(know, evidence)
    kinds = [kind_of(candidate) for candidate in everyone]
    by_kind = {kind: sum(know.logs[each.sign][kind][each.index] for each in seen) for kind in set(kinds)}
    by_check = _checked(everyone, evidence.checks)
    likelihood = [
        by_kind[kind] + (log(by_check[candidate.id][0]) if candidate.id in by_check else 0.0)
        for candidate, kind in zip(everyone, kinds, strict=True)
    ]
    chance = normalised([log(prior.weight) + each for prior, each in zip(priors, likelihood, strict=True)])
    without = normalised([log(prior.untouched) + each for prior, each in zip(priors, likelihood, strict=True)])
    why = _sign_factors(know, seen, kinds, priors)
    suspects = tuple(
        RankedSuspect(
            candidate.id,
            candidate.role.value,
            candidate.label,
            p,
            p_without,
            _strongest_first((*why[kind], *prior.factors, *_check_factor(candidate, by_check))),
        )
        for candidate, kind, prior, p, p_without in zip(everyone, kinds, priors, chance, without, strict=True)
    )
    prior_mass = _mass(kinds, [prior.weight for prior in priors])
    return Ranking(
        suspects=tuple(sorted(suspects, key=lambda suspect: -suspect.probability)),
        roles=_role_shares(suspects),
        next=next_steps(facts, know, list(zip(everyone, kinds, chance, strict=True)), evidence),
        contradictions=contradictions(know, [(each.sign, each.index, each.reason) for each in seen], prior_mass),
        unused_codes=unused_codes,
        unused_signs=unused_signs,
    )


def _refuse_strangers(everyone: Sequence[Candidate], touched: Sequence[Touched], checks: Sequence[CheckResult]) -> None:
    known = {candidate.id for candidate in everyone}
    for named in (*(touch.candidate_id for touch in touched), *(check.candidate_id for check in checks)):
        if named not in known:
            raise KeyError(named)


def _mass(kinds: Sequence[str], weights: Sequence[float]) -> dict[str, float]:
    mass: dict[str, float] = {}
    for kind, weight in zip(kinds, weights, strict=True):
        mass[kind] = mass.get(kind, 0.0) + weight
    total = sum(mass.values())
    return {kind: weight / total for kind, weight in mass.items()}


def _checked(everyone: Sequence[Candidate], checks: Sequence[CheckResult]) -> dict[str, tuple[float, str]]:
    """By how much its direct checks speak for each candidate checked, and what they were."""
    by_id = {candidate.id: candidate for candidate in everyone}
    ratios: dict[str, tuple[float, str]] = {}
    for result in checks:
        check = check_named(by_id[result.candidate_id], result.method)
        fault = result.result == "fault"
        ratio = check.hit / check.false_alarm if fault else (1 - check.hit) / (1 - check.false_alarm)
        word = f"{check.label.lower()}: {'a fault' if fault else 'nothing found'}"
        before, words = ratios.get(result.candidate_id, (1.0, ""))
        ratios[result.candidate_id] = (before * ratio, f"{words}; {word}" if words else word)
    return ratios


def _check_factor(candidate: Candidate, by_check: Mapping[str, tuple[float, str]]) -> tuple[Factor, ...]:
    if candidate.id not in by_check:
        return ()
    by, words = by_check[candidate.id]
    return (Factor("check", candidate.id, by, words),)


def _sign_factors(
    know: Knowledge, seen: Sequence[Seen], kinds: Sequence[str], priors: Sequence[Prior]
) -> dict[str, tuple[Factor, ...]]:
    mass = _mass(kinds, [prior.weight for prior in priors])
    average = [sum(share * know.chance[each.sign][kind][each.index] for kind, share in mass.items()) for each in seen]
    return {
        kind: tuple(
            Factor("sign", each.sign, know.chance[each.sign][kind][each.index] / usual, _sign_reason(know, kind, each))
            for each, usual in zip(seen, average, strict=True)
        )
        for kind in mass
    }


def _sign_reason(know: Knowledge, kind: str, each: Seen) -> str:
    row = know.rows[each.sign][kind]
    grade = row.grade(each.outcome).words
    because = f"; {row.reason}" if row.reason else ""
    return f"{each.reason}: {grade} so when this is at fault{because}"


def _strongest_first(factors: tuple[Factor, ...]) -> tuple[Factor, ...]:
    return tuple(sorted(factors, key=lambda factor: -abs(log(factor.by))))


def _role_shares(suspects: Sequence[RankedSuspect]) -> tuple[RoleShare, ...]:
    shares: dict[str, float] = {}
    for suspect in suspects:
        shares[suspect.role] = shares.get(suspect.role, 0.0) + suspect.probability
    ordered = sorted(shares.items(), key=lambda share: -share[1])
    return tuple(RoleShare(role, probability) for role, probability in ordered)
