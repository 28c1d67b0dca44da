"""The air around the car: what the barometer should say at a height, and what a weather report's figure hides.

The lowest layer of the U.S. Standard Atmosphere 1976, the same as ICAO Doc 7488 (the ISA). Heights are
geopotential metres unless said otherwise; for a road the difference from a map's height is under 2 Pa.
"""

from enum import StrEnum
from math import isfinite

from app.workings.units import PressureUnit, convert

STANDARD_KPA = 101.325
"""Pressure at sea level in the standard atmosphere, kPa absolute."""

_STANDARD_K = 288.15
_LAPSE = 0.0065  # K/m
_GAS_CONSTANT = 287.05287  # J/(kg·K), dry air
STANDARD_EXPONENT = 9.80665 / (_GAS_CONSTANT * _LAPSE)  # 5.25588
STANDARD_LAPSE = _LAPSE / _STANDARD_K  # of its own, 1/m
_EARTH_RADIUS_M = 6356766.0  # the 1976 atmosphere's own, not the earth's mean
_LOWEST_M, _HIGHEST_M = -5000.0, 11000.0  # where the layer's one lapse rate holds

#: Sea-level pressures that weather brings. Outside them altimeters cannot be set and aviation has procedures of
#: its own (FAA Aeronautical Information Manual 7-2-2, "Barometric pressure altimeter errors": 28.00 and 31.00 inHg).
WEATHER_KPA = tuple(convert(inches, PressureUnit.INHG, PressureUnit.KPA) for inches in (28.00, 31.00))
"""The lowest and the highest pressure reduced to sea level that weather brings, kPa absolute."""


class OutsideAtmosphere(ValueError):
    """A height or pressure the standard atmosphere has no answer for; the message is a plain sentence."""


class BarometerFigure(StrEnum):
    """What a barometer figure can be, judged by the height it was given for."""

    STATION = "station"
    REDUCED = "reduced"
    EITHER = "either"
    NEITHER = "neither"


def standard_temperature_k(geopotential_m: float) -> float:
    """Give the standard atmosphere's temperature in K at a geopotential height, -5000 to 11000 m.

    T = 288.15 - 0.0065 H, U.S. Standard Atmosphere 1976. Raises OutsideAtmosphere beyond these heights.
    """
    if not _LOWEST_M <= geopotential_m <= _HIGHEST_M:
        raise OutsideAtmosphere(f"no road runs at a height of {geopotential_m:g} m")
    return _STANDARD_K - _LAPSE * geopotential_m


def standard_pressure_kpa(geopotential_m: float) -> float:
    """Give the standard atmosphere's pressure in kPa absolute at a geopotential height, -5000 to 11000 m.

    p = 101.325 (T/288.15)^5.25588, U.S. Standard Atmosphere 1976. Raises OutsideAtmosphere beyond these heights.
    """
    return STANDARD_KPA * float((standard_temperature_k(geopotential_m) / _STANDARD_K) ** STANDARD_EXPONENT)


def standard_density(geopotential_m: float) -> float:
    """Give the standard atmosphere's density in kg/m³ at a geopotential height, -5000 to 11000 m.

    rho = p/(287.05287 T), U.S. Standard Atmosphere 1976. Raises OutsideAtmosphere beyond these heights.
    """
    pressure_pa = standard_pressure_kpa(geopotential_m) * 1e3
    return pressure_pa / (_GAS_CONSTANT * standard_temperature_k(geopotential_m))


def geopotential_m(geometric_m: float) -> float:
    """Turn a height off a map or a satellite fix into geopotential metres: H = r h / (r + h), r = 6356766 m.

    U.S. Standard Atmosphere 1976.
    """
    return _EARTH_RADIUS_M * geometric_m / (_EARTH_RADIUS_M + geometric_m)


def station_pressure_kpa(reduced_kpa: float, geopotential_m: float) -> float:
    """Turn a weather report's sea-level-reduced pressure (QNH) into the pressure of the air at that height.

    All kPa absolute. p = [QNH^n - 101.325^n (0.0065/288.15) H]^(1/n), n = 1/5.25588: the altimeter setting
    of the ICAO, stated from memory; the Smithsonian Meteorological Tables (1951) p. 269 give the same form.

    Raises OutsideAtmosphere for a pressure not above zero or a height beyond -5000 to 11000 m.
    """
    return _moved_kpa(reduced_kpa, geopotential_m, -1)


def sea_level_pressure_kpa(station_kpa: float, geopotential_m: float) -> float:
    """Reduce the pressure of the air at a height to sea level as a weather report does (QNH); kPa absolute.

    The way back of `station_pressure_kpa`, with its source and its errors.
    """
    return _moved_kpa(station_kpa, geopotential_m, +1)


def barometer_figure(kpa: float, geopotential_m: float) -> BarometerFigure:
    """Say whether a barometer figure (kPa absolute) given at a height is the air's own or reduced to sea level.

    A figure can be what it claims if the sea-level pressure it stands for is weather that happens, 28.00 to
    31.00 inHg (FAA Aeronautical Information Manual 7-2-2). REDUCED is worth a warning: boost added to
    such a figure is wrong by the height's whole share. Below about 300 m the two look alike and EITHER is the
    honest answer. NEITHER is most often a wrong unit. Raises OutsideAtmosphere as `station_pressure_kpa` does.
    """
    as_station = _is_weather(sea_level_pressure_kpa(kpa, geopotential_m))
    as_reduced = _is_weather(kpa)
    if as_station and as_reduced:
        return BarometerFigure.EITHER
    if as_station:
        return BarometerFigure.STATION
    return BarometerFigure.REDUCED if as_reduced else BarometerFigure.NEITHER


def _moved_kpa(kpa: float, geopotential_m: float, sign: int) -> float:
    standard_temperature_k(geopotential_m)  # refuses a height the layer does not reach
    if not isfinite(kpa) or kpa <= 0:
        raise OutsideAtmosphere(f"a barometer cannot stand at {kpa:g} kPa")
    n = 1 / STANDARD_EXPONENT
    moved = kpa**n + sign * STANDARD_KPA**n * (_LAPSE / _STANDARD_K) * geopotential_m
    if moved <= 0:
        raise OutsideAtmosphere(f"{kpa:g} kPa cannot be the barometer for a height of {geopotential_m:g} m")
    return float(moved**STANDARD_EXPONENT)


def _is_weather(sea_level_kpa: float) -> bool:
    lowest, highest = WEATHER_KPA
    return lowest <= sea_level_kpa <= highest
