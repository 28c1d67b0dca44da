"""Which hose to replace next, and why: age against what its material stands, heat, what was seen, what hangs on it.

The points, the limits and the years below are our own, from common practice and without a source; what heat does to a
life has one (app/workings/ageing.py). What the maker of a hose says comes before any of it.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum

from app.airpath.words import MATERIAL_LABEL, ComponentKind, Material, Role
from app.workings.ageing import life_ratio


class When(StrEnum):
    """How soon a line wants replacing."""

    NOW = "now"
    SOON = "soon"
    WATCH = "watch"
    GOOD = "good"


class Heat(StrEnum):
    """How warm a line lives, judged by what it connects."""

    COOL = "cool"
    WARM = "warm"
    HOT = "hot"


#: What a line lives at on the average of its running hours, °C: ten degrees apart, common practice, no source.
TYPICAL_C: dict[Heat, float] = {Heat.COOL: 60.0, Heat.WARM: 70.0, Heat.HOT: 80.0}
#: Years a line of this material serves in the middle of the engine bay: common practice, no source. Metal has no age.
SERVICE_YEARS: dict[Material, float] = {
    Material.RUBBER: 10.0,
    Material.SILICONE: 15.0,
    Material.SOFT_PLASTIC: 10.0,
    Material.HARD_PLASTIC: 12.0,
}
#: Times within two years that its ends were worked on, from which up it counts as touched often.
OFTEN, VERY_OFTEN = 3, 6

_HOT = frozenset((ComponentKind.TURBOCHARGER, ComponentKind.WASTEGATE, ComponentKind.EGR_VALVE))
_COOL = frozenset(
    (
        ComponentKind.AIR_FILTER,
        ComponentKind.AIRFLOW_SENSOR,
        ComponentKind.BRAKE_SERVO,
        ComponentKind.CATCH_CAN,
        ComponentKind.GAUGE,
        ComponentKind.HEATER_CONTROL,
        ComponentKind.PURGE_VALVE,
        ComponentKind.VACUUM_RESERVOIR,
    )
)
_HANGS_ON_IT = {
    Role.BRAKE_SERVO: "the brake servo hangs on it",
    Role.FUEL_REGULATOR: "the fuel pressure hangs on it",
    Role.BOOST_CONTROL: "when it lets go, boost goes over target",
}
_NOW, _SOON = 4, 2


@dataclass(frozen=True, slots=True)
class Hose:
    """One line as far as its age and state go.

    `age_years` is None where nobody knows; with `at_least` it is only known not to be younger. `says_years` is what
    its maker says it serves. `act` and `watch` are open findings; `worked_on` counts how often an end was off or its
    clamp moved in the last two years.
    """

    role: Role
    material: Material | None
    heat: Heat
    age_years: float | None = None
    at_least: bool = False
    says_years: float | None = None
    stopgap: bool = False
    act: tuple[str, ...] = ()
    watch: tuple[str, ...] = ()
    bad: bool = False
    worked_on: int = 0


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for replacing it, and for how much."""

    points: int
    text: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """How soon, and why: the weightiest reason first."""

    when: When
    reasons: tuple[Reason, ...]

    @property
    def points(self) -> int:
        """All reasons together."""
        return sum(reason.points for reason in self.reasons)


def heat_of(ends: Collection[ComponentKind]) -> Heat:
    """How warm a line between these components lives."""
    if not _HOT.isdisjoint(ends):
        return Heat.HOT
    return Heat.COOL if ends and _COOL.issuperset(ends) else Heat.WARM


def service_years(material: Material | None, heat: Heat) -> float | None:
    """How long a line of this material serves in such a place, years; None for metal and what nobody knows."""
    years = SERVICE_YEARS.get(material) if material else None
    return None if years is None else years * life_ratio(TYPICAL_C[heat], TYPICAL_C[Heat.WARM])


def judge(hose: Hose) -> Verdict:
    """How soon a line wants replacing, and why. What hangs on it counts only where anything speaks against it."""
    reasons = [*_seen(hose), *_aged(hose), *_worked_on(hose)]
    if reasons and hose.role in _HANGS_ON_IT:
        reasons.append(Reason(1, _HANGS_ON_IT[hose.role]))
    points = sum(reason.points for reason in reasons)
    when = When.NOW if points >= _NOW else When.SOON if points >= _SOON else When.WATCH if points else When.GOOD
    return Verdict(when, tuple(sorted(reasons, key=lambda reason: -reason.points)))


def _seen(hose: Hose) -> Iterator[Reason]:
    if hose.stopgap:
        yield Reason(4, "held by a stopgap")
    yield from (Reason(4, f"to act on: {what}") for what in hose.act)
    if hose.bad:
        yield Reason(3, "not in order when last looked at")
    yield from (Reason(2, f"to watch: {what}") for what in hose.watch)


def _aged(hose: Hose) -> Iterator[Reason]:
    typical = service_years(hose.material, hose.heat)
    years = hose.says_years or typical
    if years is None:
        return
    of = MATERIAL_LABEL[hose.material] if hose.material else "it"
    said = (
        f"its maker says {_years(years)}"
        if hose.says_years
        else f"{of} {_WHERE[hose.heat]} serves about {_years(years)}"
    )
    if hose.age_years is None:
        yield Reason(1, f"nobody knows how old it is; {said}")
        return
    share = hose.age_years / years
    points = 3 if share >= 1 else 2 if share >= 0.75 else 1 if share >= 0.5 or hose.at_least else 0
    if points:
        yield Reason(points, f"{'at least ' if hose.at_least else ''}{_years(hose.age_years)} old; {said}")


_WHERE = {Heat.COOL: "in a cool place", Heat.WARM: "in the engine bay", Heat.HOT: "near the turbocharger"}


def _years(years: float) -> str:
    months = max(round(years * 12), 1)
    if months < 12:
        return f"{months} month{'s' if months > 1 else ''}"
    whole = round(years)
    return f"{whole} year{'s' if whole > 1 else ''}"


def _worked_on(hose: Hose) -> Iterator[Reason]:
    if hose.worked_on >= OFTEN and hose.material is not Material.METAL:
        points = 2 if hose.worked_on >= VERY_OFTEN else 1
        yield Reason(points, f"an end was off or its clamp moved {hose.worked_on} times in two years")
