"""What the page of a leak's size asks for, what it supposes where a box stays empty, and the sentences it answers with.

The phone is sent all of it with the page (`for_phone`) and reckons by the same figures and answers in the same words.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.records.car_figures import Bore
from app.workings.leak_hold import ADIABATIC_UP_TO_S, ISOTHERMAL_FROM_S, LONG_RISE_C, SHORT_RISE_C
from app.workings.leak_size import GRAMS_A_LITRE, OPEN_FROM_MM, PINHOLE_BELOW_MM
from app.workings.orifice import CRITICAL, GAMMA, GAS_CONSTANT, KELVIN, SHARP_EDGE
from app.workings.units import MassFlowUnit, PressureUnit

#: The ways to measure it: what each is called, and what it takes.
WAYS: Mapping[str, tuple[str, str]] = {
    "trims": ("Fuel trims at idle", "A code reader"),
    "vacuum": ("Idle vacuum", "A vacuum gauge"),
    "hold": ("A hold test", "A gauge and a watch"),
    "boost": ("Boost short of target", "A boost gauge or a log"),
}
#: What each asks for. A box ending in _unit or named `unit` or `basis` is chosen from a list.
BOXES: Mapping[str, tuple[str, ...]] = {
    "trims": (
        "airflow",
        "airflow_unit",
        "short",
        "long",
        "trim",
        "wander",
        "now",
        "unit",
        "basis",
        "give",
        "temp",
        "air",
    ),
    "vacuum": ("now", "usual", "unit", "basis", "give", "rpm", "rpm_usual", "idle_gs", "litres", "ve", "temp", "air"),
    "hold": ("volume", "before", "after", "unit", "basis", "give", "took", "took_unit", "start", "end", "air"),
    "boost": (
        "reached",
        "target",
        "unit",
        "basis",
        "give",
        "rpm",
        "airflow",
        "airflow_unit",
        "litres",
        "ve",
        "charge",
        "air",
    ),
}
#: Without these there is nothing to answer yet.
NEEDED: Mapping[str, tuple[str, ...]] = {
    "trims": ("airflow", "short", "long"),
    "vacuum": ("now", "usual", "rpm"),
    "hold": ("before", "after", "took"),
    "boost": ("reached", "target", "rpm"),
}
_ANY_PRESSURE, _PERCENT, _CELSIUS, _RPM, _EFFICIENCY = (0, 6000), (-60, 60), (-50, 150), (100, 12000), (10, 150)
#: Beyond these a figure is a slip of the finger; pressures are looked at again once they are absolute.
LIMITS: Mapping[str, tuple[float, float]] = {
    **dict.fromkeys(("now", "usual", "before", "after", "reached", "target", "give"), _ANY_PRESSURE),
    **dict.fromkeys(("short", "long", "trim"), _PERCENT),
    **dict.fromkeys(("temp", "start", "end", "charge"), _CELSIUS),
    **dict.fromkeys(("rpm", "rpm_usual"), _RPM),
    "ve": _EFFICIENCY,
    "wander": (0, 30),
    "airflow": (0.01, 2000),
    "idle_gs": (0.1, 60),
    "litres": (0.05, 20),
    "volume": (0.01, 200),
    "took": (0.1, 100_000),
    "air": (45, 112),
}
ABSOLUTE_KPA = (0.5, 600.0)

#: What is supposed where nobody read it: the figure, how far off it may be, what it is, and its unit. Common practice,
#: no source; a healthy engine's trims wander as app.triage.from_readings has it.
SUPPOSED: Mapping[str, tuple[float, float, str, str]] = {
    "trim": (0.0, 5.0, "usual trims", "%"),
    "temp": (20.0, 20.0, "air", "°C"),
    "start": (20.0, 15.0, "temperature", "°C"),
    "charge": (45.0, 25.0, "charge air", "°C"),
    "manifold": (45.0, 25.0, "air in the manifold", "°C"),
    "ve_vacuum": (75.0, 15.0, "volumetric efficiency", "%"),
    "ve_boost": (90.0, 12.0, "volumetric efficiency", "%"),
}
#: How far the weather takes the air off a standard day's pressure, kPa. Common practice, no source.
WEATHER_KPA = 3.0
#: Half the least step of a trim, %: a byte of 128 steps to 100 % (SAE J1979, from memory).
TRIM_STEP = 100 / 128 / 2
SECONDS = {"s": 1, "min": 60, "h": 3600}
#: From what a pressure figure is counted: up or down from the air around, or from nothing.
SIGNS = {"gauge": 1, "vacuum": -1, "absolute": 0}

SAYS = {
    "number": "Write a number, such as 5 or 5.5.",
    "limits": "Write a figure from {low} to {high}.",
    "pressure": "No such pressure is here: look at the figure, its unit, and what the gauge counts from.",
    "air_off": "The pressures are too near that of the air around: nothing drives air through a hole.",
    "idle_off": "At idle the manifold is below the pressure of the air around: look at the figures again.",
    "no_engine": "It takes the engine's displacement, or its airflow at a healthy idle.",
    "no_displacement": "It takes the engine's displacement.",
    "no_volume": "It takes the volume: without it a pressure that falls tells of no size.",
    "near": "The pressures are too near that of the air around, or the time too short, to be told apart.",
    "at_air": "It had come to the pressure of the air around: read it sooner.",
    "by_pressure": "The fuel of this car follows a pressure sensor, which counts the air that leaks in as well: its"
    " trims tell of no size. Use idle vacuum.",
    "diesel": "A diesel is not trimmed at idle: there is nothing to reckon with.",
    "no_vacuum": "Without a throttle there is no idle vacuum to fall short.",
    "no_turbo": "Without a turbocharger there is no boost to fall short.",
    "anything": "Nothing, or a hole of up to {hole}: both fit these figures. Read them finer, or measure another way.",
    "none": "No leak that these figures could show: it would be narrower than {hole}.",
    "other_way": "They point the other way, away from a leak.",
    "pinhole": "A pinhole, a joint that weeps or a tired check valve, not a hose that is off.",
    "small": "A split, or a small line that is off or broken; not a large hose.",
    "open": "As wide as a hose: look for one that is off, split open, or a clamp that let go.",
    "also": "By how finely it was read it may also be {classes}.",
    "as_wide": "As wide as the bore of {lines}.",
    "narrower": "Narrower than every line of this car: the narrowest is {lines}.",
    "wider": "Wider than every bore of this car that is written down.",
    "between": "Between the bores of this car's lines.",
    "supposed": "Not read but supposed: {parts}.",
    "held_open": "Supposing that the throttle stands as open as when healthy. Where idle control shut it to hold the"
    " speed, the leak is larger than this.",
    "as_much": "Supposing that the turbocharger moves as much air as on target: an airflow meter would say better.",
    "boost_too": "A wastegate, boost control or a power limit does the same without any hole. Hold the charge side"
    " under pressure before you look for one.",
    "heat": "Taken between no heat from the walls and all of it: in so short a time it is part of the way.",
    "cooling": "Of the change, {kpa} kPa would come from the temperature alone, with no leak.",
    "cold": "Nobody read both temperatures: a sealed volume that goes from 50 to 20 °C loses a tenth of its absolute"
    " pressure, and that looks like a leak.",
}
SIZES = {"none": "no leak", "pinhole": "a pinhole", "small": "a small line's bore", "open": "a hose's bore"}


@dataclass(frozen=True, slots=True)
class About:
    """What the answer has to know of the car: its facts, the air at its height (kPa) and its lines' bores."""

    metered: bool
    diesel: bool
    throttle_vacuum: bool
    turbocharged: bool
    air_kpa: float
    bores: Sequence[Bore] = ()

    def cant(self, way: str) -> str | None:
        """Why this car can't be measured that way; None where it can."""
        if way == "trims" and self.diesel:
            return SAYS["diesel"]
        if way == "trims" and not self.metered:
            return SAYS["by_pressure"]
        if way == "vacuum" and not self.throttle_vacuum:
            return SAYS["no_vacuum"]
        return SAYS["no_turbo"] if way == "boost" and not self.turbocharged else None


def for_phone(about: About) -> dict[str, Any]:
    """All that the phone's script reckons with and answers in (static/bay/hole.js), as JSON."""
    return {
        "needed": NEEDED,
        "limits": LIMITS,
        "absolute": ABSOLUTE_KPA,
        "supposed": SUPPOSED,
        "air": [about.air_kpa, WEATHER_KPA],
        "trim": TRIM_STEP,
        "seconds": SECONDS,
        "signs": SIGNS,
        "kpa": {unit.value: unit.si_per_unit / 1e3 for unit in PressureUnit},
        "gs": {unit.value: unit.si_per_unit * 1e3 for unit in MassFlowUnit},
        "says": SAYS,
        "sizes": SIZES,
        "cant": {way: about.cant(way) for way in WAYS},
        "bores": [[bore.name, bore.mm] for bore in about.bores],
        "pinhole": PINHOLE_BELOW_MM,
        "open": OPEN_FROM_MM,
        "litre": GRAMS_A_LITRE,
        "hold": [ADIABATIC_UP_TO_S, ISOTHERMAL_FROM_S, SHORT_RISE_C, LONG_RISE_C],
        "gas": {"gamma": GAMMA, "r": GAS_CONSTANT, "kelvin": KELVIN, "edge": SHARP_EDGE, "critical": CRITICAL},
    }
