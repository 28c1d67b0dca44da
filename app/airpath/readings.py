"""The kinds of reading a car's own healthy values are kept for, and under which condition each is taken."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

Quantity = Literal["pressure", "time", "percent", "mass_flow", "free"]


class ReadingKind(StrEnum):
    """What was read. `free` is anything else a person wants to keep: tyres, fluids, wear."""

    IDLE_VACUUM = "idle_vacuum"
    FIRST_START_VACUUM = "first_start_vacuum"
    PEAK_BOOST = "peak_boost"
    STEADY_BOOST = "steady_boost"
    VACUUM_RECOVERY = "vacuum_recovery"
    FUEL_TRIM_IDLE = "fuel_trim_idle"
    FUEL_TRIM_LOAD = "fuel_trim_load"
    AIRFLOW_IDLE = "airflow_idle"
    FREE = "free"


class Condition(StrEnum):
    """What the engine was doing; readings compare only within one condition."""

    WARM = "warm"
    WARM_AIR_CONDITIONING = "warm_air_conditioning"
    FIRST_START = "first_start"
    FULL_THROTTLE = "full_throttle"
    LIFT_OFF = "lift_off"
    ANY = "any"


@dataclass(frozen=True, slots=True)
class KindOfReading:
    """How one kind is asked for and written down. `units` and `bases` stand with the usual one first."""

    label: str
    quantity: Quantity
    units: tuple[str, ...]
    bases: tuple[str, ...]
    conditions: tuple[Condition, ...]
    caution: str | None = None


_ROAD = "A passenger, a closed road or a logger reads the gauge, never the driver."
_RUNNING = "Running engine: keep clothing and hands clear of belts and fan; never run it in a closed garage."
_PRESSURE = ("inHg", "kPa", "mmHg", "bar", "psi")
_BOOST = ("bar", "psi", "kPa", "inHg", "mmHg")

READINGS: dict[ReadingKind, KindOfReading] = {
    ReadingKind.IDLE_VACUUM: KindOfReading(
        "Idle vacuum",
        "pressure",
        _PRESSURE,
        ("vacuum", "absolute"),
        (Condition.WARM, Condition.WARM_AIR_CONDITIONING),
        _RUNNING,
    ),
    ReadingKind.FIRST_START_VACUUM: KindOfReading(
        "Vacuum at first start", "pressure", _PRESSURE, ("vacuum", "absolute"), (Condition.FIRST_START,), _RUNNING
    ),
    ReadingKind.PEAK_BOOST: KindOfReading(
        "Peak boost", "pressure", _BOOST, ("gauge", "absolute"), (Condition.FULL_THROTTLE,), _ROAD
    ),
    ReadingKind.STEADY_BOOST: KindOfReading(
        "Boost at steady full throttle", "pressure", _BOOST, ("gauge", "absolute"), (Condition.FULL_THROTTLE,), _ROAD
    ),
    ReadingKind.VACUUM_RECOVERY: KindOfReading(
        "Vacuum recovery after lift-off", "time", ("s", "ms"), (), (Condition.LIFT_OFF,), _ROAD
    ),
    ReadingKind.FUEL_TRIM_IDLE: KindOfReading("Fuel trim at idle", "percent", ("%",), (), (Condition.WARM,), _RUNNING),
    ReadingKind.FUEL_TRIM_LOAD: KindOfReading(
        "Fuel trim under load", "percent", ("%",), (), (Condition.FULL_THROTTLE,), _ROAD
    ),
    ReadingKind.AIRFLOW_IDLE: KindOfReading(
        "Airflow at idle", "mass_flow", ("g/s", "kg/h", "lb/min"), (), (Condition.WARM,), _RUNNING
    ),
    ReadingKind.FREE: KindOfReading("Something else", "free", (), (), (Condition.ANY,)),
}

CONDITION_LABEL: dict[Condition, str] = {
    Condition.WARM: "warm",
    Condition.WARM_AIR_CONDITIONING: "warm, air conditioning on",
    Condition.FIRST_START: "first start",
    Condition.FULL_THROTTLE: "full throttle",
    Condition.LIFT_OFF: "throttle shut after boost",
    Condition.ANY: "",
}
