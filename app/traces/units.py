"""The units a logger may write a channel in, and how each becomes the one the channel is kept in.

Pressure, mass flow and temperature come from app.workings.units (NIST SP 811). A mile an hour is 1.609344 km/h exactly.
Raw bytes go by SAE J1979 (see j1979.py). The air-fuel ratios of complete burning, 14.7 for petrol and 14.5 for diesel,
are common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from app.traces.j1979 import RAW
from app.traces.trace import UNITS, Samples
from app.workings.units import MassFlowUnit, PressureUnit, TemperatureUnit, Unit


@dataclass(frozen=True, slots=True)
class Scale:
    """A figure v in the file is v * `times` + `plus` in the channel's own unit.

    `gauge`: what was added up is above the air around the car, which has to be added. `hexadecimal`: written in base
    16.
    """

    label: str
    times: float = 1.0
    plus: float = 0.0
    gauge: bool = False
    hexadecimal: bool = False

    def __call__(self, figures: Samples, ambient_kpa: Samples | float) -> Samples:
        """Figures of the file as the channel keeps them; `ambient_kpa` counts for a gauge alone."""
        scaled = figures * self.times + self.plus
        return scaled + ambient_kpa if self.gauge else scaled


def _pressures(*, gauge: bool) -> dict[str, Scale]:
    found = {one.value: Scale(f"{one.label}, absolute", one.si_per_unit / 1000) for one in PressureUnit}
    if gauge:
        for one in PressureUnit:
            found[f"{one.value} gauge"] = Scale(f"{one.label}, gauge", one.si_per_unit / 1000, gauge=True)
            found[f"{one.value} vacuum"] = Scale(f"{one.label}, vacuum", -one.si_per_unit / 1000, gauge=True)
    return found


def _linear(*units: tuple[Unit, float, float]) -> dict[str, Scale]:
    return {u.value: Scale(u.label, u.si_per_unit * per, u.si_at_zero * per + plus) for u, per, plus in units}


_TEMPERATURES = _linear((TemperatureUnit.CELSIUS, 1, -273.15), (TemperatureUnit.FAHRENHEIT, 1, -273.15))
_TEMPERATURES["degC"] = Scale("°C")  # it comes back untouched
_PERCENT = {"%": Scale("%"), "1": Scale("share of one", 100)}
_FLOWS = _linear(*((one, 1000, 0) for one in MassFlowUnit))
_FLOWS["g/s"] = Scale("g/s")
_SCALES: dict[str, dict[str, Scale]] = {
    "engine_speed": {"rpm": Scale("rpm"), "1/s": Scale("turns a second", 60)},
    "road_speed": {"km/h": Scale("km/h"), "mph": Scale("mph", 1.609344), "m/s": Scale("m/s", 3.6)},
    "manifold_pressure": _pressures(gauge=True),
    "barometer": _pressures(gauge=False),
    "throttle": _PERCENT,
    "pedal": _PERCENT,
    "air_flow": _FLOWS,
    "fuel_trim_short": {**_PERCENT, "factor": Scale("factor around 1", 100, -100)},
    "fuel_trim_long": {**_PERCENT, "factor": Scale("factor around 1", 100, -100)},
    "coolant": _TEMPERATURES,
    "intake_air": _TEMPERATURES,
    "lambda": {
        "1": Scale("lambda"),
        "afr petrol": Scale("air-fuel ratio, petrol (14.7)", 1 / 14.7),
        "afr diesel": Scale("air-fuel ratio, diesel (14.5)", 1 / 14.5),
    },
    "boost_duty": _PERCENT,
    "gear": {"1": Scale("gear")},
}
for _channel, (_times, _plus) in RAW.items():
    _SCALES[_channel]["raw"] = Scale("raw byte or bytes (J1979), decimal", _times, _plus)
    _SCALES[_channel]["raw hex"] = Scale("raw byte or bytes (J1979), hexadecimal", _times, _plus, hexadecimal=True)
if _SCALES.keys() != UNITS.keys():  # pragma: no cover
    raise AssertionError("every channel has its scales")


def units_for(channel: str) -> Mapping[str, Scale] | None:
    """The units a channel may be written in, by key; None if there is no such channel."""
    found = _SCALES.get(channel)
    return None if found is None else MappingProxyType(found)
