"""Why one suspect: every step from its base rate to its probability, each with what it did to the odds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, log
from typing import Literal

from app.triage.answers import FactorKind
from app.triage.weighing import Weighing

#: A step that moves the odds by less than this is left out.
_NOTHING = 1e-12


@dataclass(frozen=True, slots=True)
class WaterfallStep:
    """One step: by how much it multiplied the odds of the suspect against all the others, and the odds after it.

    The first is the base rate, `by` being its odds: so the steps' product is the odds in the end.
    """

    kind: Literal["base"] | FactorKind
    key: str
    by: float
    reason: str
    odds: float

    @property
    def probability(self) -> float:
        """The probability after this step."""
        return self.odds / (1 + self.odds)

    @property
    def log_odds(self) -> float:
        """The odds after this step as a natural logarithm; there the steps add up."""
        return log(self.odds)


@dataclass(frozen=True, slots=True)
class _Stage:
    """What one fact does to everyone's weight."""

    kind: Literal["base"] | FactorKind
    key: str
    reason: str
    factors: Sequence[float]


def waterfall(case: Weighing, suspect: str) -> tuple[WaterfallStep, ...]:
    """The steps from a suspect's base rate to its probability, in the order of the calculation.

    A step is exact: the odds are taken anew after each, all others weighed as they then stand, so a touch or a check of
    another suspect is a step too. Raises KeyError for an id that is nobody's.
    """
    places = {candidate.id: place for place, candidate in enumerate(case.everyone)}
    place = places[suspect]
    logs = [0.0] * len(case.everyone)
    before = 1.0
    steps = []
    for stage in _stages(case, place):
        logs = [each + log(factor) for each, factor in zip(logs, stage.factors, strict=True)]
        odds = _odds(logs, place)
        if stage.kind in {"base", "sign"} or abs(odds / before - 1) > _NOTHING:
            steps.append(WaterfallStep(stage.kind, stage.key, odds / before, stage.reason, odds))
            before = odds
    return tuple(steps)


def _odds(logs: Sequence[float], place: int) -> float:
    return 1 / sum(exp(each - logs[place]) for at, each in enumerate(logs) if at != place)


def _stages(case: Weighing, place: int) -> Iterator[_Stage]:
    yield from _priors(case, place)
    yield from _touches(case, place)
    if case.repaired is not None:
        held = [after / prior.weight for after, prior in zip(case.weights, case.priors, strict=True)]
        label = case.everyone[case.repaired].label
        words = "it was repaired, and may not have held" if place == case.repaired else f"{label} was repaired"
        yield _Stage("prior", "repaired", words, held)
    for seen in case.observations:
        sort = case.sorts[place]
        yield _Stage("sign", seen.sign, seen.reason[sort], [seen.chance[each] for each in case.sorts])
    for at, candidate in enumerate(case.everyone):
        if candidate.id in case.checked:
            check = case.checked[candidate.id]
            words = check.reason if at == place else f"{candidate.label}, {check.reason}"
            yield _Stage("check", candidate.id, words, _only(case, at, check.by))


def _priors(case: Weighing, place: int) -> Iterator[_Stage]:
    reasons = {factor.key: factor.reason for factor in case.priors[place].factors}
    base = reasons.get("own", "how often it is at fault, as a rule")
    yield _Stage("base", "base", base, [prior.base for prior in case.priors])
    taught = reasons.get("taught", "what this garage's closed tickets found of others")
    yield _Stage("prior", "taught", taught, [prior.learned for prior in case.priors])
    wear = reasons.get("wear", "what the others are made of, and their age")
    yield _Stage("prior", "wear", wear, [prior.worn for prior in case.priors])
    patched = reasons.get("stopgap", "temporary repairs elsewhere")
    yield _Stage("prior", "stopgap", patched, [prior.patched for prior in case.priors])


def _touches(case: Weighing, place: int) -> Iterator[_Stage]:
    for factor in case.priors[place].factors:
        if factor.kind == "touch":
            yield _Stage("touch", factor.key, factor.reason, _only(case, place, factor.by))
    elsewhere = [prior.weight / prior.untouched for prior in case.priors]
    elsewhere[place] = 1.0
    yield _Stage("touch", "elsewhere", "what was touched elsewhere", elsewhere)


def _only(case: Weighing, place: int, by: float) -> list[float]:
    return [by if at == place else 1.0 for at in range(len(case.everyone))]
