"""What triage is given: who could be at fault, what was touched, and what has been seen."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from app.airpath.words import Material, Role, Suspect, TouchKind

CheckOutcome = Literal["fault", "fine"]

#: How likely a suspect of one's own is, in words: as a usual one of the kind it behaves like, twice or half as likely.
HowLikely = Literal["usual", "twice", "half"]
HOW_LIKELY: dict[HowLikely, float] = {"usual": 1.0, "twice": 2.0, "half": 0.5}


@dataclass(frozen=True, slots=True)
class Candidate:
    """A line (by its role) or a component (as a suspect) that could be at fault.

    `fitted` is how likely the car has it at all, below 1 only where a car is known by its layout alone. `place` names
    what must be opened to reach it and `access_minutes` how long that takes, once for all in there.

    A suspect of one's own has the role `something_else` and says what it `behaves_like`: a role or suspect (one of
    `app.triage.knowledge.table.KINDS`) whose rows of the table it reads, and how `likely` it is beside a usual one.
    """

    id: str
    role: Role | Suspect
    label: str
    material: Material | None = None
    age_years: float | None = None
    bore_mm: float | None = None
    stopgap: bool = False
    place: str | None = None
    access_minutes: float = 0.0
    fitted: float = 1.0
    behaves_like: str | None = None
    likely: HowLikely = "usual"


@dataclass(frozen=True, slots=True)
class Touched:
    """One candidate disturbed before the fault was first noticed. None where the record does not say."""

    candidate_id: str
    how: TouchKind
    days_ago: float | None = None
    km_ago: float | None = None
    temp_c: float | None = None
    checked: bool = False
    reason_label: str = ""


@dataclass(frozen=True, slots=True)
class CheckResult:
    """What a direct check of one candidate showed."""

    candidate_id: str
    method: str
    result: CheckOutcome


@dataclass(frozen=True, slots=True)
class Repaired:
    """A fault found and repaired, and what had been seen until then: it may be the work of that fault, or of two."""

    candidate_id: str
    signs: Mapping[str, str] = field(default_factory=dict)
    codes: tuple[str, ...] | None = None
    checks: tuple[CheckResult, ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    """What has been seen: one outcome a sign, trouble codes (None when nobody has read them), direct checks.

    With a fault `repaired` and the car still not right, signs, codes and checks are those made since the repair.
    """

    signs: Mapping[str, str] = field(default_factory=dict)
    codes: tuple[str, ...] | None = None
    checks: tuple[CheckResult, ...] = ()
    repaired: Repaired | None = None
