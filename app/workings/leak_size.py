"""How big a leak is, from what can be measured at home: its flow and the hole that would let as much air through.

Every figure comes with how finely it was read (`Figure.within`). The answer is worked out for every combination of the
figures at the ends of what they may have been, and the least and the most of it are told: each answer only rises or
only falls with each figure, so its extremes lie at such ends. What is supposed and not read is a figure of the same
kind, only with more room. Pressures are kPa absolute, air is an ideal gas, and the hole a sharp edge of no length
(app.workings.orifice): the *equivalent* hole.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

from app.workings.orifice import GAS_CONSTANT, KELVIN, ImpossibleHole, flow_function, hole

SizeClass = Literal["none", "pinhole", "small", "open"]

PINHOLE_BELOW_MM = 1.0
"""A quarter of the bore of a thin vacuum line (4 mm): no line that is off is as small. Common practice, no source."""
OPEN_FROM_MM = 6.0
"""The widest of the small signal and vacuum lines: only a hose for air to breathe through is wider. Common practice, no
source."""

GRAMS_A_LITRE = 101.325 / (GAS_CONSTANT * (20 + KELVIN)) * 1e3
"""Density of air at 20 °C and 101.325 kPa, g/l: the litres a minute told are litres of such air."""


class Untold(ValueError):
    """The figures can't tell it; the message says why in a plain sentence."""


@dataclass(frozen=True, slots=True)
class Figure:
    """What was read, or is supposed, and how far off it may be either way, in its own unit."""

    value: float
    within: float = 0.0

    @property
    def ends(self) -> tuple[float, ...]:
        """The least and the most it may have been."""
        return (self.value - self.within, self.value + self.within) if self.within else (self.value,)


@dataclass(frozen=True, slots=True)
class Span:
    """A worked-out figure with the least and the most it can be."""

    low: float
    value: float
    high: float


@dataclass(frozen=True, slots=True)
class Leak:
    """A leak: its flow in g/s (below nought: the figures point away from one) and its equivalent hole in mm."""

    flow_gs: Span
    hole_mm: Span

    @property
    def is_sure(self) -> bool:
        """Whether the figures can't come from a car without a leak."""
        return self.flow_gs.low > 0

    @property
    def size(self) -> SizeClass | None:
        """Its class; None where it can be anything from nothing to more than a pinhole."""
        if self.is_sure:
            return class_of(self.hole_mm.value)
        return "none" if self.hole_mm.high < PINHOLE_BELOW_MM else None

    @property
    def may_be(self) -> tuple[SizeClass, ...]:
        """The classes its interval reaches, the smallest first, where it is sure that there is a leak."""
        reached = (class_of(each) for each in (self.hole_mm.low, self.hole_mm.value, self.hole_mm.high))
        return tuple(dict.fromkeys(reached))


@dataclass(frozen=True, slots=True)
class Gauge:
    """A pressure as its gauge shows it, kPa: counted up (+1) or down (-1) from the air around, or absolute (0)."""

    figure: Figure
    sign: Literal[-1, 0, 1]

    def absolute(self, shown: float, air: float) -> float:
        """What `shown` (one end of its figure) is in kPa absolute with so much air around."""
        return air + self.sign * shown if self.sign else shown


def class_of(hole_mm: float) -> SizeClass:
    """The class of an equivalent hole, mm."""
    if hole_mm < PINHOLE_BELOW_MM:
        return "pinhole"
    return "small" if hole_mm < OPEN_FROM_MM else "open"


def litres_a_minute(flow_gs: float, at_c: float = 20.0) -> float:
    """A flow in g/s as litres a minute of air at `at_c` and 101.325 kPa; there is no one reference, so say which."""
    return flow_gs / (101.325 / (GAS_CONSTANT * (at_c + KELVIN)) * 1e3) * 60


def spread_over(figures: Sequence[Figure], worked_out: Callable[..., Sequence[tuple[float, float]]]) -> Leak:
    """The leak over all that the figures may have been.

    `worked_out` gives (flow g/s, hole mm) for one set of values: first what is told, then whatever else is as possible.
    Raises Untold where one end of the figures allows no answer.
    """
    told, *others = worked_out(*(each.value for each in figures))
    found = [told, *others]
    for ends in product(*(each.ends for each in figures)):
        found += worked_out(*ends)
    flows, holes = [each[0] for each in found], [each[1] for each in found]
    return Leak(Span(min(flows), told[0], max(flows)), Span(min(holes), told[1], max(holes)))


def hole_for(flow_gs: float, before_kpa: float, behind_kpa: float, before_c: float) -> float:
    """The equivalent hole of a leak, mm; none for a flow the other way. Raises Untold where nothing drives the air."""
    if before_kpa <= behind_kpa:
        raise Untold("The pressures are too near that of the air around: nothing drives air through a hole.")
    try:
        return hole(max(flow_gs, 0.0), before_kpa, max(behind_kpa, 0.0), before_c)
    except ImpossibleHole as impossible:
        raise Untold(str(impossible)) from None


def by_trims(  # noqa: PLR0913, PLR0917 - what a reader and a gauge show
    airflow_gs: Figure, short: Figure, long: Figure, usual: Figure, manifold: Gauge | None, air: Figure, air_c: Figure
) -> Leak:
    """The air an airflow meter never saw, from fuel trims in % (above nought: fuel added, SAE J1979) at idle.

    Balance of masses: all the air is fuelled, the meter counted `airflow_gs`. What is told takes the trims as factors,
    airflow x ((1 + short)(1 + long)/(1 + usual) - 1); their plain sum, which some engines work by, is as possible.
    `usual` is what the trims add up to on this car while it is healthy. Without `manifold` the flow is taken as choked,
    as it is at any usual idle vacuum: it does not mind how deep that is.
    """

    def one(  # noqa: PLR0913, PLR0917
        counted: float, first: float, second: float, normal: float, around: float, celsius: float, shown: float = 0.0
    ) -> list[tuple[float, float]]:
        behind = manifold.absolute(shown, around) if manifold else 0.0
        factors = (1 + first / 100) * (1 + second / 100) / (1 + normal / 100) - 1
        flows = (counted * factors, counted * (first + second - normal) / 100)
        return [(flow, hole_for(flow, around, behind, celsius)) for flow in flows]

    figures = [airflow_gs, short, long, usual, air, air_c]
    return spread_over([*figures, manifold.figure] if manifold else figures, one)


def _a_kpa_and_turn(engine: Sequence[float], usual: float) -> float:
    """What an engine takes in for each kPa and rpm, g/s, from the figures of its Breathing; `usual`: kPa x rpm."""
    if len(engine) == 1:
        return engine[0] / usual
    litres, filling, celsius = engine
    return swallowed(litres, filling, 1.0, 1.0, celsius)


@dataclass(frozen=True, slots=True)
class Breathing:
    """What turns manifold pressure into the engine's own airflow.

    Either the airflow it has when healthy at `usual` pressure and speed, or its displacement and how well its cylinders
    fill (volumetric efficiency, 0 to 1 or a little more, against the manifold's own density).
    """

    healthy_gs: Figure | None = None
    litres: Figure | None = None
    filling: Figure | None = None
    manifold_c: Figure | None = None

    @property
    def figures(self) -> list[Figure]:
        """The figures it rests on. Raises Untold where they are not enough."""
        if self.healthy_gs:
            return [self.healthy_gs]
        if self.litres and self.filling and self.manifold_c:
            return [self.litres, self.filling, self.manifold_c]
        raise Untold("It takes the engine's displacement, or its airflow at a healthy idle.")


def swallowed(litres: float, filling: float, rpm: float, kpa: float, celsius: float) -> float:
    """The air a four-stroke engine takes in, g/s: filling x V x rpm/120 x p/(R T)."""
    return filling * litres * rpm / 120 * kpa / (GAS_CONSTANT * (celsius + KELVIN)) * 1e3


def by_idle_vacuum(  # noqa: PLR0913, PLR0917 - what gauges show, now and when healthy
    usual: Gauge, now: Gauge, speed: Figure, usual_speed: Figure | None, breathes: Breathing, air: Figure, air_c: Figure
) -> Leak:
    """The air that comes in behind the throttle, from idle vacuum short of the healthy one at a known engine speed.

    Balance of masses: what the cylinders take in at the pressure now, less what the throttle lets through. Its opening
    is taken as unchanged, so that it passes as much as when healthy (choked), or less by its flow function. Where idle
    control shut it to hold the speed, the leak is larger than told. `usual_speed` None: the same as now.
    """
    own = breathes.figures

    def one(
        before: float, after: float, turns: float, around: float, celsius: float, *rest: float
    ) -> list[tuple[float, float]]:
        then, since = usual.absolute(before, around), now.absolute(after, around)
        if then <= 0 or since >= around or then >= around:
            raise Untold("At idle the manifold is below the pressure of the air around: look at the figures again.")
        engine, speeds = rest[: len(own)], rest[len(own) :]
        turned = speeds[0] if speeds else turns
        each = _a_kpa_and_turn(engine, then * turned)
        throttle = flow_function(max(since, 0.0) / around) / flow_function(then / around)
        leak = each * (since * turns - then * turned * throttle)
        return [(leak, hole_for(leak, around, since, celsius))]

    figures = [usual.figure, now.figure, speed, air, air_c, *own]
    return spread_over([*figures, usual_speed] if usual_speed else figures, one)


def by_boost(  # noqa: PLR0913, PLR0917 - what gauges show
    target: Gauge, reached: Gauge, speed: Figure, breathes: Breathing, metered_gs: Figure | None, air: Figure
) -> Leak:
    """The air a pressurised charge side loses, from boost short of target at full throttle and a known engine speed.

    Balance of masses: what an airflow meter before the turbocharger counts, less what the cylinders take in at the
    boost reached. Without a meter the turbocharger is supposed to move as much air as it does on target.
    """
    if breathes.litres is None or breathes.filling is None or breathes.manifold_c is None:
        raise Untold("It takes the engine's displacement.")
    own = [breathes.litres, breathes.filling, breathes.manifold_c]

    def one(wanted: float, got: float, turns: float, around: float, *rest: float) -> list[tuple[float, float]]:
        litres, filling, celsius, *counted = rest
        aim, boost = target.absolute(wanted, around), reached.absolute(got, around)
        took = swallowed(litres, filling, turns, boost, celsius)
        moved = counted[0] if counted else swallowed(litres, filling, turns, aim, celsius)
        return [(moved - took, hole_for(moved - took, boost, around, celsius))]

    figures = [target.figure, reached.figure, speed, air, *own]
    return spread_over([*figures, metered_gs] if metered_gs else figures, one)
