"""How likely each candidate is before a single sign: base rates, wear, touches, stopgaps, and what was learned.

Every figure here is common practice, no source: no field failure rates for these parts could be found published.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.airpath.words import MATERIAL_LABEL, ROLE_LABEL, SUSPECT_LABEL, Material, Role, Suspect
from app.triage.answers import Factor
from app.triage.inputs import HOW_LIKELY, Candidate, HowLikely, Touched
from app.triage.knowledge.grades import CHARGE_SMALL
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
_ROLES = frozenset(Role)
#: A factor nearer to 1 than this is not worth a line.
WORTH_SAYING = 0.02
_OLDEST_THAT_COUNTS = 20.0  # years; older lines that still serve have shown that they can
#: How likely a suspect of one's own is, as its reason has it.
OFTEN: dict[HowLikely, str] = {"usual": "as likely as", "twice": "twice as likely as", "half": "half as likely as"}


@dataclass(frozen=True, slots=True)
class Prior:
    """A candidate's weight (not normalised), the same had nothing been touched, and the factors behind it.

    `untouched` is `base` x `learned` x `worn` x `patched`: the plain rate, what closed tickets taught, material and
    age, and a stopgap. `weight` adds the touches.
    """

    weight: float
    untouched: float
    factors: tuple[Factor, ...]
    base: float
    learned: float
    worn: float
    patched: float


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
    them and not to another role; age, stopgaps and touches then add to it. A suspect of one's own takes nothing from
    the others: it weighs as one more of those it behaves like, or as often as its fitter says.
    """
    listed = [candidate for candidate in candidates if candidate.behaves_like is None]
    lines = Counter(candidate.role for candidate in listed)
    rates = taught_rates(lines, taught)
    durability: dict[str, float] = {}
    for candidate in listed:
        durability[candidate.role] = durability.get(candidate.role, 0.0) + _when_new(candidate)
    touches: dict[str, list[Touched]] = {}
    for touch in touched:
        touches.setdefault(touch.candidate_id, []).append(touch)
    found = []
    for candidate in candidates:
        role = role_of(candidate)
        if candidate.behaves_like is None:
            share = BASE_RATE[role] / lines[role]
            worn = _when_new(candidate) * lines[role] / durability[role] * _aged(candidate)
        else:
            share, worn = BASE_RATE[role] / max(lines[role], 1) * HOW_LIKELY[candidate.likely], 1.0
        learned = rates[role] / BASE_RATE[role] if role in rates else 1.0
        found.append(_prior(candidate, share * candidate.fitted, learned, worn, touches.get(candidate.id, ())))
    return found


def role_of(candidate: Candidate) -> Role | Suspect:
    """The role or suspect whose base rate a candidate goes by."""
    like = candidate.behaves_like
    if like is None:
        return candidate.role
    if like == CHARGE_SMALL:
        return Role.CHARGE
    return Role(like) if like in _ROLES else Suspect(like)


def _prior(candidate: Candidate, base: float, learned: float, worn: float, touches: Sequence[Touched]) -> Prior:
    factors: list[Factor] = []
    if candidate.behaves_like is not None:
        factors.append(Factor("prior", "own", HOW_LIKELY[candidate.likely], _own_reason(candidate)))
    if abs(learned - 1.0) > WORTH_SAYING:
        factors.append(Factor("prior", "taught", learned, taught_reason(learned)))
    if abs(worn - 1.0) > WORTH_SAYING:
        factors.append(Factor("prior", "wear", worn, _wear_reason(candidate, worn)))
    patched = _STOPGAP if candidate.stopgap else 1.0
    if candidate.stopgap:
        factors.append(Factor("prior", "stopgap", patched, "it is a temporary repair"))
    weight = untouched = base * learned * worn * patched
    for touch in touches:
        added, reason = touch_weight(candidate, touch)
        if added > 0:
            factors.append(Factor("touch", touch.how, (weight + added) / weight, reason))
            weight += added
    return Prior(weight, untouched, tuple(factors), base, learned, worn, patched)


def taught_reason(by: float) -> str:
    """The sentence for what closed tickets taught, a factor on the plain rate."""
    return f"this garage's closed tickets found it {'more' if by > 1 else 'less'} often"


def _own_reason(candidate: Candidate) -> str:
    like = role_of(candidate)
    label = ROLE_LABEL[like] if isinstance(like, Role) else SUSPECT_LABEL[like].lower()
    return f"a suspect of your own, {OFTEN[candidate.likely]} another that behaves like it: {label}"


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
