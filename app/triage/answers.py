"""What triage answers: suspects with their reasons, what to do next, and what does not add up."""

from dataclasses import dataclass
from typing import Literal

from app.triage.signs import Need

#: A factor between these hardly moves a suspect.
NOT_NOTABLE = (0.87, 1.15)

FactorKind = Literal["sign", "touch", "prior", "check"]


@dataclass(frozen=True, slots=True)
class Factor:
    """One reason. `by` multiplies: for a sign against the average suspect, for a touch against it untouched,

    for a prior against the plain base rate, for a check against not having made it.
    """

    kind: FactorKind
    key: str
    by: float
    reason: str

    @property
    def notable(self) -> bool:
        """Whether it is worth telling: a factor near 1 says nothing."""
        low, high = NOT_NOTABLE
        return not low <= self.by <= high


@dataclass(frozen=True, slots=True)
class RankedSuspect:
    """A candidate with its probability, what that would be had nothing been touched, and why.

    `from_touches` is the share of its probability that its own touches brought, 0 to 1.
    """

    id: str
    role: str
    label: str
    probability: float
    without_touches: float
    why: tuple[Factor, ...]
    from_touches: float = 0.0


@dataclass(frozen=True, slots=True)
class RoleShare:
    """A role's or component's probability, summed over its candidates."""

    role: str
    probability: float


@dataclass(frozen=True, slots=True)
class NextStep:
    """A sign to ask for (`key` is the sign) or a check to make (`key` is the method, on `candidate_id`).

    `minutes` is all it takes from where things stand; `getting_ready` of them go into another state of the engine, and
    `shared` of them are paid already where the steps listed before it are done first. `lacks` is what the garage has
    not got for it.
    """

    kind: Literal["ask", "check"]
    key: str
    label: str
    minutes: float
    gain_bits: float
    needs: tuple[Need, ...]
    caution: str
    candidate_id: str | None = None
    lacks: tuple[Need, ...] = ()
    getting_ready: float = 0.0
    shared: float = 0.0


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two signs that seldom go together under one fault, and the one to look at again."""

    first: str
    second: str
    look_again: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Ranking:
    """Suspects, roles and next steps, best first, and what could not be used or does not fit.

    `minutes_left` is what finding the culprit by checks alone is expected to take (`app.triage.minutes_left`). With
    `given`, the id of a candidate that was repaired, the suspects are those of a second fault.
    """

    suspects: tuple[RankedSuspect, ...]
    roles: tuple[RoleShare, ...]
    next: tuple[NextStep, ...]
    contradictions: tuple[Contradiction, ...]
    unused_codes: tuple[str, ...]
    unused_signs: tuple[str, ...]
    minutes_left: float = 0.0
    given: str | None = None

    @property
    def without_touches(self) -> tuple[RankedSuspect, ...]:
        """The suspects in the order they would stand in had nothing been touched."""
        return tuple(sorted(self.suspects, key=lambda suspect: -suspect.without_touches))
