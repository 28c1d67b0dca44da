"""What an observer would write down after a day: gauge readings, and what is seen, heard and felt."""

from dataclasses import dataclass

import numpy as np

from tests.bench import constants as c
from tests.bench.motion import Flows, Vector
from tests.bench.plant import OPEN_AIR, Plant, Way
from tests.bench.scenarios import Day
from tests.bench.stretch import Stretch

#: Ways to the open air that belong there.
_MEANT = frozenset({"filter", "turbine", "tailpipe", "wastegate", "pedal"})
_SETTLED_S, _HELD_S = 5.0, 3.0
_REST_KPA = 3.4  # the needle is back within 1 inHg
_NEVER_S = 10.0


@dataclass(frozen=True, slots=True)
class Observed:
    """Gauge figures in kPa absolute, seconds and per cent, and outcomes that no figure stands behind."""

    idle_kpa: float
    first_start_kpa: float
    store_kpa: float | None
    boost_kpa: float
    recovery_s: float | None
    trim_idle: float
    trim_load: float
    stalled: bool
    seen: dict[str, str]


def observe(plant: Plant, day: Day, sound_metered: float) -> Observed:
    """Watch a day. `sound_metered`, kg/s, is the healthy car's metered air on the same pull: what the driver asks."""
    settled = _since(day.idle, _SETTLED_S)
    gauge = day.idle.node("gauge")[settled]
    at_idle, pulling = day.idle.flows(-1), day.pull.flows(-1)
    held = day.pull.node("gauge")[_since(day.pull, _HELD_S)]
    seen = {
        "idle_needle": _needle(plant, gauge, at_idle),
        "idle_quality": _idle_quality(plant, day, at_idle),
        "brake_pedal": "hard" if c.AMBIENT_KPA - day.presses[-1].node("servo")[-1] < c.HARD_PEDAL_KPA else "normal",
        "boost_stability": "erratic" if float(np.std(held)) > c.ERRATIC_KPA else "steady",
        "hiss": _hiss(plant, day, at_idle, pulling),
        "exhaust_smoke": _smoke(plant, day.pull, pulling, sound_metered),
    }
    if day.lift_off is not None:
        seen["lift_off_sound"] = _lift_off_sound(plant, day.lift_off)
    store = day.first_start.node("store") if "store" in plant.nodes else None
    return Observed(
        idle_kpa=float(np.mean(gauge)),
        first_start_kpa=float(day.first_start.node("gauge")[-1]),
        store_kpa=None if store is None else float(store[_at(day.first_start, 1.0)]),
        boost_kpa=float(np.mean(held)),
        recovery_s=None if day.lift_off is None else _recovery(day.lift_off, float(np.mean(gauge))),
        trim_idle=100 * float(np.mean(day.idle.moving("trim")[settled])),
        trim_load=100 * float(day.pull.moving("trim")[-1]),
        stalled=float(np.mean(day.idle.moving("rpm")[settled])) < c.STALLED_RPM,
        seen=seen,
    )


def _since(stretch: Stretch, seconds: float) -> slice:
    return slice(_at(stretch, float(stretch.times[-1]) - seconds), None)


def _at(stretch: Stretch, seconds: float) -> int:
    return int(np.searchsorted(stretch.times, seconds))


def _recovery(stretch: Stretch, idle_kpa: float) -> float:
    """When the needle is back at this car's own idle vacuum for good: it may dip there first on falling revs."""
    away = np.flatnonzero(stretch.node("gauge") > idle_kpa + _REST_KPA)
    last = int(away[-1]) + 1 if len(away) else 0
    return float(stretch.times[last]) if last < len(stretch.times) else _NEVER_S


def _leaks(plant: Plant, flow: Flows) -> list[tuple[Way, str, float]]:
    """Ways that should not be open to air: each with its volume and what comes in through it, kg/s."""
    found = []
    for way, kg_s in zip(plant.ways, flow.ways, strict=True):
        if OPEN_AIR in (way.a, way.b) and way.name not in _MEANT:
            inward = kg_s if way.a == OPEN_AIR else -kg_s
            found.append((way, way.b if way.a == OPEN_AIR else way.a, inward))
    return found


def _richest_cylinder_apart(plant: Plant, flow: Flows) -> float:
    """Lambda of the cylinder that gets a leak all to itself, or of all when the leak is shared."""
    if not plant.switches.one_cylinder or flow.engine <= 0:
        return flow.mixture
    share = sum(kg_s for _, node, kg_s in _leaks(plant, flow) if node == "manifold") / flow.engine
    return flow.mixture * (1 + 3 * max(share, 0.0))


def _needle(plant: Plant, gauge: Vector, flow: Flows) -> str:
    if not plant.diesel and plant.switches.one_cylinder and _richest_cylinder_apart(plant, flow) > c.ROUGH_LAMBDA:
        return "flicking"
    return "wavering" if float(np.std(gauge)) > c.WANDER_KPA else "steady"


def _idle_quality(plant: Plant, day: Day, flow: Flows) -> str:
    if plant.diesel:
        return "smooth"
    revs = day.idle.moving("rpm")[_since(day.idle, _SETTLED_S)]
    mixture = _richest_cylinder_apart(plant, flow)
    if float(np.mean(revs)) < c.STALLED_RPM or not c.RICH_LAMBDA <= mixture <= c.ROUGH_LAMBDA:
        return "rough"
    if float(np.std(revs)) > c.HUNTING_RPM:
        return "hunting"
    return "high" if float(np.mean(revs)) > c.IDLE_RPM + c.FAST_RPM else "smooth"


def _hiss(plant: Plant, day: Day, at_idle: Flows, pulling: Flows) -> str:
    """Standing beside an idling car comes first; what is only heard from the seat, second."""
    heard = (
        ("at_idle", at_idle, day.idle, c.HISS_IDLE_KG_S),
        ("under_boost", pulling, day.pull, c.HISS_BOOST_KG_S),
    )
    for outcome, flow, stretch, least in heard:
        for _, node, kg_s in _leaks(plant, flow):
            apart = abs(float(stretch.node(node)[-1]) - c.AMBIENT_KPA)
            if abs(kg_s) >= least and apart >= c.HISS_KPA:
                return outcome
    return "none"


def _smoke(plant: Plant, pull: Stretch, flow: Flows, sound_metered: float) -> str:
    """Black before the trims have caught up: they take longer than a pull's first puff."""
    if plant.diesel:
        fuelled = min(flow.metered, sound_metered) / c.DIESEL_LEAST_LAMBDA
        return "black_under_boost" if flow.engine < c.SMOKE_DIESEL_LAMBDA * fuelled else "none"
    untrimmed = c.FULL_LOAD_LAMBDA * flow.mixture * (1 + float(pull.moving("trim")[-1]))
    return "black_under_boost" if untrimmed < c.SMOKE_PETROL_LAMBDA else "none"


def _lift_off_sound(plant: Plant, stretch: Stretch) -> str:
    if not plant.turbo:
        return "usual"
    step = float(stretch.times[1] - stretch.times[0])
    surging = out = 0.0
    for index in range(_at(stretch, 2.0)):
        flow = stretch.flows(index)
        ratio = float(stretch.node("charge")[index] / stretch.node("inlet")[index])
        if ratio > 1.15 and flow.compressor < c.SURGE_KG_S_PER_RATIO * (ratio - 1):
            surging += step
        out += step * sum(max(-kg_s, 0.0) for _, node, kg_s in _leaks(plant, flow) if node in ("return", "inlet"))
    if out > c.LOUDER_KG:
        return "louder"
    return "flutter" if surging > c.FLUTTER_S else "usual"
