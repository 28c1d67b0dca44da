"""What a touch adds to a candidate's weight: the kind of touch, how fresh it is, the material, the cold.

A touch adds, it does not multiply: the odds that a joint was left loose do not depend on how many other lines
the car has. Figures are common practice, no source; their order is what matters, and tests hold it.
"""

from app.airpath.words import MATERIAL_LABEL, Material, Role, Suspect, TouchKind
from app.triage.inputs import Candidate, Touched

#: Weight a fresh touch adds, on the scale where the base rates of all faults add up to about 1.
ADDS: dict[TouchKind, float] = {
    TouchKind.DISCONNECTED: 0.65,  # two joints to get wrong, on a hose already set to its old shape
    TouchKind.REPLACED: 0.52,  # the same two joints, but a fresh part to seal on
    TouchKind.CLAMP_MOVED: 0.36,
    TouchKind.REACHED_PAST: 0.11,
}

#: Whether a careless elbow breaks it: only what cannot give.
LEANED_ON: dict[Material, float] = {
    Material.HARD_PLASTIC: 3.5,
    Material.SOFT_PLASTIC: 1.3,
    Material.RUBBER: 1.0,
    Material.SILICONE: 0.6,
    Material.METAL: 0.3,
}
#: Whether coming off and going back on spoils it.
PULLED_OFF: dict[Material, float] = {
    Material.HARD_PLASTIC: 1.4,
    Material.SOFT_PLASTIC: 1.0,
    Material.RUBBER: 1.0,
    Material.SILICONE: 0.9,
    Material.METAL: 0.7,
}
#: Joints that come undone more readily than most, or less.
READINESS: dict[Role | Suspect, float] = {
    Role.CHARGE: 1.2,  # pressed apart at every pull, and oily inside
    Role.BRAKE_SERVO: 0.8,  # a quick coupling that clicks
    Suspect.POWER_LIMIT: 0.0,  # nothing to touch
    Suspect.SOMETHING_ELSE: 0.0,
}
CHECKED = 0.3  # left after torque, seat or mark was recorded
HALF_DAYS = 14.0  # a touch this old counts half: what a joint will do it does in its first heat cycles
HALF_KM = 600.0
UNKNOWN_FRESHNESS = 0.6  # neither days nor distance recorded
COLD_BELOW_C = 10.0
COLD_AT_MOST_C = 30.0  # below that; colder makes no difference any more

HOW: dict[TouchKind, str] = {
    TouchKind.DISCONNECTED: "off and back on",
    TouchKind.REPLACED: "replaced",
    TouchKind.CLAMP_MOVED: "clamp moved",
    TouchKind.REACHED_PAST: "leaned on",
}


def touch_weight(candidate: Candidate, touch: Touched) -> tuple[float, str]:
    """Weight the touch adds to its candidate, and the sentence that says so ("leaned on 2 days before, at 6 °C")."""
    added = (
        ADDS[touch.how]
        * READINESS.get(candidate.role, 1.0)
        * freshness(touch.days_ago, touch.km_ago)
        * _brittleness(candidate, touch)
    )
    return (added * CHECKED if touch.checked else added), _sentence(candidate, touch)


def freshness(days_ago: float | None, km_ago: float | None) -> float:
    """1 for a touch just before the fault, falling with days and with distance, never to nothing."""
    if days_ago is None and km_ago is None:
        return UNKNOWN_FRESHNESS
    by_days = 1.0 / (1.0 + max(days_ago or 0.0, 0.0) / HALF_DAYS)
    by_km = 1.0 / (1.0 + max(km_ago or 0.0, 0.0) / HALF_KM)
    return by_days * by_km


def _brittleness(candidate: Candidate, touch: Touched) -> float:
    leaned = touch.how is TouchKind.REACHED_PAST
    material = candidate.material
    by_material = 1.0 if material is None else (LEANED_ON if leaned else PULLED_OFF)[material]
    below = 0.0 if touch.temp_c is None else min(max(COLD_BELOW_C - touch.temp_c, 0.0), COLD_AT_MOST_C)
    by_cold = 1.0 + below / degrees_that_double(material)
    # A new part has no age, whatever it replaced.
    return by_material * by_cold * (1.0 if touch.how is TouchKind.REPLACED else by_age(candidate))


def degrees_that_double(material: Material | None) -> float:
    """How many degrees below `COLD_BELOW_C` double what a touch does to a line of this material, K."""
    return 15.0 if material is Material.HARD_PLASTIC else 60.0


def by_age(candidate: Candidate) -> float:
    """How much worse a touch is for a candidate of this age than for a new one."""
    if candidate.material in (Material.METAL, Material.SILICONE):
        return 1.0
    return 1.0 + min(candidate.age_years or 0.0, 15.0) / (10.0 if candidate.material is Material.HARD_PLASTIC else 20.0)


def _sentence(candidate: Candidate, touch: Touched) -> str:
    words = [HOW[touch.how]]
    if touch.days_ago is not None:
        days = round(touch.days_ago)
        words[0] += " the same day" if days == 0 else f" {days} day{'' if days == 1 else 's'} before"
    if touch.km_ago is not None:
        words.append(f"{round(touch.km_ago)} km ago")
    if touch.temp_c is not None and touch.temp_c < COLD_BELOW_C:
        words.append(f"at {round(touch.temp_c)} °C")
    if candidate.material is not None:
        words.append(MATERIAL_LABEL[candidate.material])
    if touch.checked:
        words.append("checked afterwards")
    if touch.reason_label:
        words.append(touch.reason_label)
    return ", ".join(words)
