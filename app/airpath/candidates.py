"""Candidates for one position, held side by side: does it fit, what does the air do in it, will suction flatten it.

Every default below can be changed on the page, and is an assumption: common practice without a source, unless it says
otherwise. The figures come from app/workings.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from app.airpath.words import Material, Role
from app.workings.collapse import ImpossibleWall, collapse_kpa, mean_radius_mm
from app.workings.pipe_flow import Air, ImpossibleFlow, Pipe, PipeFlow, airflow_for_power, flow

#: Bores and lengths that differ by no more than this are the same, mm: our own.
SAME_BORE_MM, SAME_LENGTH_MM = 1.0, 5.0
#: A loss that differs by less than this share of the pressure in the pipe can't be felt: our own. A turbocharged
#: engine's power goes with the pressure it is fed, so it is worth about as large a share of the power, at the most.
FELT = 0.01
#: Above this air begins to behave otherwise, and pipes are kept below it: common practice, no source.
FAST_MACH = 0.3
#: A collapse pressure less than this many times the suction leaves too little for ovality, heat and age: our own.
SAFE_MARGIN = 2.0
POISSON = 0.49
"""Of rubber and silicone; as in the figures of the check for a plain rubber hose, an assumption."""

SOFT = frozenset((Material.RUBBER, Material.SILICONE, Material.SOFT_PLASTIC))


class Carries(StrEnum):
    """What air goes through the position: what is sucked in, what is pushed, or none worth reckoning with."""

    INTAKE = "intake"
    CHARGE = "charge"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Assumed:
    """What the figures are worked out with. Pressure is absolute, in the pipe; suction is below the air around."""

    power_kw: float | None
    fuel_g_kwh: float
    air_fuel: float
    pressure_kpa: float
    air_c: float
    roughness_um: float
    suction_kpa: float
    stiffness_mpa: float

    @property
    def airflow_g_s(self) -> float | None:
        """Air for the power aimed for, g/s; None while no power is known."""
        return self.power_kw and airflow_for_power(self.power_kw, self.fuel_g_kwh, self.air_fuel)


@dataclass(frozen=True, slots=True)
class Place:
    """The position: the bore and length of the line on it, where known."""

    bore_mm: float | None = None
    length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Candidate:
    """What is known of one part. `step` is that of its stage in the plan, 0 for one in none."""

    id: str
    name: str
    bore_mm: float | None = None
    wall_mm: float | None = None
    length_mm: float | None = None
    material: Material | None = None
    plies: int | None = None
    needs_cutting: Literal["yes", "no"] | None = None
    step: int = 0
    stage: str | None = None


@dataclass(frozen=True, slots=True)
class Fit:
    """`short`: as is, cut, too short, other bore, or not known; `why` says it in a sentence, or nothing."""

    short: str
    why: str


@dataclass(frozen=True, slots=True)
class Figures:
    """What was worked out for one candidate; None with a sentence in `why_not` where something is missing."""

    flow: PipeFlow | None
    collapse_kpa: float | None
    margin: float | None
    why_not: str


def carries(role: Role | None) -> Carries:
    """What air goes through a line of this role."""
    return {Role.INTAKE: Carries.INTAKE, Role.CHARGE: Carries.CHARGE}.get(role, Carries.NONE) if role else Carries.NONE


def usual(air: Carries, *, diesel: bool, ambient_kpa: float, boost_kpa: float | None) -> Assumed:
    """The assumptions to begin with. `boost_kpa` is the car's own peak pressure, absolute, where it is known.

    Fuel: 310 g/kWh at 12.5 of air to one of fuel for a petrol engine under boost, 230 at 20 for a diesel; suction at
    the turbocharger 3 kPa; 20 °C before it and 50 °C in a charge pipe: common practice, no source.
    """
    fuel, ratio = (230.0, 20.0) if diesel else (310.0, 12.5)
    suction = 3.0
    pressure, celsius = (boost_kpa or 200.0, 50.0) if air is Carries.CHARGE else (ambient_kpa - suction, 20.0)
    return Assumed(None, fuel, ratio, round(pressure, 1), celsius, 1.5, suction, 5.0)


def fit_of(part: Candidate, place: Place) -> Fit:
    """Whether it fits as it is. What its owner says of cutting comes before what the lengths say."""
    if part.bore_mm and place.bore_mm and abs(part.bore_mm - place.bore_mm) > SAME_BORE_MM:
        wider = "wider" if part.bore_mm > place.bore_mm else "narrower"
        return Fit("other bore", f"{abs(part.bore_mm - place.bore_mm):g} mm {wider} than what is on: wants a reducer.")
    if part.needs_cutting:
        return Fit("cut", "Needs cutting.") if part.needs_cutting == "yes" else Fit("as is", "")
    if part.length_mm is None or place.length_mm is None:
        return Fit("not known", "Its length or that of the place is not known.")
    over = part.length_mm - place.length_mm
    if over > SAME_LENGTH_MM:
        return Fit("cut", f"{over:g} mm to cut off.")
    return Fit("too short", f"{-over:g} mm too short.") if over < -SAME_LENGTH_MM else Fit("as is", "")


def replaced_by(part: Candidate, others: Iterable[Candidate]) -> Candidate | None:
    """What a later stage of the plan puts in its place: the first such part, None if it stays."""
    later = (one for one in others if one.id != part.id and one.step > part.step)
    return min(later, key=lambda one: (one.step, one.name, one.id), default=None)


def figures(part: Candidate, place: Place, air: Carries, assumed: Assumed) -> Figures:
    """What the air does in it, at the length it will have on the car, and how far a soft one is from collapse."""
    if air is Carries.NONE:
        return Figures(None, None, None, "")
    if part.bore_mm is None:
        return Figures(None, None, None, "Its bore is not known.")
    length, airflow = place.length_mm or part.length_mm, assumed.airflow_g_s
    found, why = None, "How long it will be is not known." if length is None else ""
    try:
        if length is not None and airflow is not None:
            pipe = Pipe(part.bore_mm, length, assumed.roughness_um)
            found = flow(airflow, Air(assumed.pressure_kpa, assumed.air_c), pipe)
    except ImpossibleFlow as no:
        why = str(no)
    bears = _collapse(part, assumed) if air is Carries.INTAKE and part.material in SOFT else None
    return Figures(found, bears, bears / assumed.suction_kpa if bears is not None else None, why)


def _collapse(part: Candidate, assumed: Assumed) -> float | None:
    if part.bore_mm is None or part.wall_mm is None:
        return None
    try:
        radius = mean_radius_mm(part.bore_mm, part.wall_mm)
        return collapse_kpa(assumed.stiffness_mpa, POISSON, part.wall_mm, radius)
    except ImpossibleWall:
        return None


@dataclass(frozen=True, slots=True)
class Difference:
    """How far apart the candidates are, kPa: `run_kpa` in the straight run alone, `most_kpa` with a step out of them.

    A sharp step out of a pipe into a wider one takes a share of ½ρV², never more than all of it (Borda and Carnot).
    `share` is of the pressure in the pipe.
    """

    run_kpa: float
    most_kpa: float
    share: float
    best: Candidate
    worst: Candidate

    @property
    def felt(self) -> bool:
        """Whether it may be large enough to notice."""
        return self.share >= FELT


def at_most_kpa(found: PipeFlow) -> float:
    """What a pipe costs with the sharpest of steps out of it, kPa."""
    return found.loss_kpa + found.dynamic_pa / 1e3


def difference(found: Sequence[tuple[Candidate, Figures]], assumed: Assumed) -> Difference | None:
    """The difference between the candidates; None with fewer than two whose loss is known."""
    known = [(one, flown.flow) for one, flown in found if flown.flow is not None]
    if len(known) < 2:
        return None
    (best, least), *_, (worst, most) = sorted(known, key=lambda one: (at_most_kpa(one[1]), one[0].id))
    apart = at_most_kpa(most) - at_most_kpa(least)
    return Difference(abs(most.loss_kpa - least.loss_kpa), apart, apart / assumed.pressure_kpa, best, worst)
