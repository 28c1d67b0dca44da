"""How likely each candidate is before a single sign: base rates, wear, touches, stopgaps, and what was learned.

Every figure here is common practice, no source: no field failure rates for these parts could be found published.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.airpath.words import MATERIAL_LABEL, Material, Role, Suspect
from app.triage.answers import Factor
from app.triage.inputs import Candidate, Touched
from app.triage.touches import touch_weight

#: Share of the faults of a turbocharged car, roughly, for all lines of a role together or one component.
BASE_RATE: dict[str, float] = {
    Role.CHARGE: 0.16,
    Role.INTAKE: 0.06,
    Role.RECIRCULATION: 0.045,
    Role.DIVERTER_SIGNAL: 0.075,
    Role.VACUUM_STORE: 0.06,
    Role.BOOST_CONTROL: 0.08,
    Role.MANIFOLD_SMALL: 0.10,
    Role.GAUGE: 0.045,
    Role.BRAKE_SERVO: 0.04,
    Role.BREATHER: 0.05,
    Role.PURGE: 0.045,
    Role.FUEL_REGULATOR: 0.035,
    Suspect.DIVERTER_VALVE: 0.06,
    Suspect.CHANGEOVER_SOLENOID: 0.04,
    Suspect.BOOST_SOLENOID: 0.06,
    Suspect.WASTEGATE: 0.045,
    Suspect.POWER_LIMIT: 0.055,
    Suspect.MANIFOLD_GASKET: 0.05,
    Suspect.AIR_FILTER: 0.025,
    Suspect.TURBOCHARGER: 0.05,
    Suspect.PRESSURE_SENSOR: 0.035,
    Suspect.AIRFLOW_SENSOR: 0.04,
    Suspect.SOMETHING_ELSE: 0.07,
}

#: How many closed tickets it takes for this garage's own experience to weigh as much as the base rates.
_TRUST_IN_BASE_RATES = 20.0

#: A stopgap gives way more often than the line it stands in for.
_STOPGAP = 4.0

#: How a line of this material compares with the others of its role when new, and what each year of age adds.
_WEAR: dict[Material, tuple[float, float]] = {
    Material.RUBBER: (1.0, 0.10),
    Material.HARD_PLASTIC: (1.2, 0.12),
    Material.SOFT_PLASTIC: (1.0, 0.08),
    Material.SILICONE: (0.8, 0.04),
    Material.METAL: (0.4, 0.02),
}
_OLDEST_THAT_COUNTS = 20.0  # years; older lines that still serve have shown that they can


@dataclass(frozen=True, slots=True)
class Prior:
    """A candidate's weight (not normalised), the same had nothing been touched, and the factors behind it."""

    weight: float
    untouched: float
    factors: tuple[Factor, ...]


def taught_rates(present: Iterable[str], taught: Mapping[str, int]) -> dict[str, float]:
    """Base rates of the roles present, moved towards this garage's closed tickets (role or suspect -> count).

    A Dirichlet prior worth `_TRUST_IN_BASE_RATES` tickets: (trust x rate + count) / (trust + all counts).
    """
    plain = {role: BASE_RATE[role] for role in present}
    total = sum(plain.values())
    counts = {role: taught.get(role, 0) for role in plain}
    seen = sum(counts.values())
    if not seen:
        return plain
    return {
        role: total * (_TRUST_IN_BASE_RATES * rate / total + counts[role]) / (_TRUST_IN_BASE_RATES + seen)
        for role, rate in plain.items()
    }


def weigh(candidates: Sequence[Candidate], touched: Sequence[Touched], taught: Mapping[str, int]) -> list[Prior]:
    """Each candidate's prior, in the order given.

    A role's rate is split over its candidates by material, so that what a role's lines are made of moves blame among
    them and not to another role; age, stopgaps and touches then add to it.
    """
    lines = Counter(candidate.role.value for candidate in candidates)
    rates = taught_rates(lines, taught)
    durability: dict[str, float] = {}
    for candidate in candidates:
        durability[candidate.role.value] = durability.get(candidate.role.value, 0.0) + _when_new(candidate)
    touches: dict[str, list[Touched]] = {}
    for touch in touched:
        touches.setdefault(touch.candidate_id, []).append(touch)
    return [
        _prior(
            candidate,
            rates[candidate.role.value] / lines[candidate.role.value],
            learned=rates[candidate.role.value] / BASE_RATE[candidate.role],
            worn=_when_new(candidate)
            * lines[candidate.role.value]
            / durability[candidate.role.value]
            * _aged(candidate),
            touches=touches.get(candidate.id, ()),
        )
        for candidate in candidates
    ]


def _prior(candidate: Candidate, share: float, *, learned: float, worn: float, touches: Sequence[Touched]) -> Prior:
    factors: list[Factor] = []
    if abs(learned - 1.0) > 0.02:
        often = "more" if learned > 1 else "less"
        factors.append(Factor("prior", "taught", learned, f"this garage's closed tickets found it {often} often"))
    if abs(worn - 1.0) > 0.02:
        factors.append(Factor("prior", "wear", worn, _wear_reason(candidate, worn)))
    untouched = share * worn * candidate.fitted
    if candidate.stopgap:
        untouched *= _STOPGAP
        factors.append(Factor("prior", "stopgap", _STOPGAP, "it is a temporary repair"))
    weight = untouched
    for touch in touches:
        added, reason = touch_weight(candidate, touch)
        if added > 0:
            factors.append(Factor("touch", touch.how.value, (weight + added) / weight, reason))
            weight += added
    return Prior(weight, untouched, tuple(factors))


def _when_new(candidate: Candidate) -> float:
    return 1.0 if candidate.material is None else _WEAR[candidate.material][0]


def _aged(candidate: Candidate) -> float:
    if candidate.material is None:
        return 1.0
    return 1.0 + _WEAR[candidate.material][1] * min(candidate.age_years or 0.0, _OLDEST_THAT_COUNTS)


def _wear_reason(candidate: Candidate, worn: float) -> str:
    if candidate.material is None:
        return "the others of its kind wear differently"
    material = MATERIAL_LABEL[candidate.material]
    if candidate.age_years and worn > 1:
        return f"{material}, {candidate.age_years:.0f} years old"
    return f"{material} gives way {'more' if worn > 1 else 'less'} often than its neighbours"
