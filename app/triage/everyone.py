"""Everyone who could be at fault: the candidates of a car, and those that stand on no car's list."""

from collections.abc import Iterable, Sequence

from app.airpath.words import SUSPECT_LABEL, Role, Suspect
from app.triage.checks import THIN_BELOW_MM
from app.triage.facts import Facts
from app.triage.inputs import Candidate
from app.triage.knowledge.grades import CHARGE_SMALL
from app.triage.knowledge.table import KINDS


def standing_candidates(facts: Facts) -> tuple[Candidate, ...]:
    """Suspects that are nobody's component: the power limit of a boosted engine, and always something else."""
    standing = [Candidate(Suspect.SOMETHING_ELSE.value, Suspect.SOMETHING_ELSE, SUSPECT_LABEL[Suspect.SOMETHING_ELSE])]
    if facts.turbocharged:
        limit = Suspect.POWER_LIMIT
        standing.insert(0, Candidate(limit.value, limit, SUSPECT_LABEL[limit]))
    return tuple(standing)


def kind_of(candidate: Candidate) -> str:
    """Which row of the table a candidate reads: its role, the thin charge line's, or what it is said to behave like.

    Raises KeyError when it is said to behave like nothing the table has a row for.
    """
    if candidate.behaves_like is not None:
        if candidate.behaves_like not in KINDS:
            raise KeyError(candidate.behaves_like)
        return candidate.behaves_like
    thin = candidate.bore_mm is not None and candidate.bore_mm < THIN_BELOW_MM
    if candidate.role is Role.CHARGE and thin:
        return CHARGE_SMALL
    return candidate.role.value


def with_standing(facts: Facts, candidates: Sequence[Candidate]) -> list[Candidate]:
    """The candidates, and those standing ones that are not among them."""
    roles = {candidate.role for candidate in candidates if candidate.behaves_like is None}
    return [*candidates, *(each for each in standing_candidates(facts) if each.role not in roles)]


def refuse_strangers(everyone: Iterable[Candidate], named: Iterable[str]) -> None:
    """Raise KeyError for an id that is nobody's."""
    known = {candidate.id for candidate in everyone}
    for stranger in named:
        if stranger not in known:
            raise KeyError(stranger)
