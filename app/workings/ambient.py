"""Where the pressure of the air around the car comes from: one place decides which source wins, and says why.

A barometer beside the car is the air itself. A log's barometer channel is, too, but of a sensor nobody looked at. A
height gives a standard day's air, which weather moves by some 3 kPa either way; and without a height there is only the
standard day by the sea.
"""

from dataclasses import dataclass
from enum import StrEnum

from app.workings.atmosphere import STANDARD_KPA, standard_pressure_kpa, station_pressure_kpa

AIR_KPA = (45.0, 112.0)
"""The deepest and the highest air a car is driven in, with room for weather, kPa absolute (our own judgement)."""

APART_KPA = 3.0
"""Two barometers further apart than this are not both right (our own judgement: ten times what a cheap one is off)."""


class AirSource(StrEnum):
    """What told the pressure of the air, the best first."""

    BAROMETER = "barometer"
    LOG = "log"
    HEIGHT = "height"
    STANDARD = "standard"


@dataclass(frozen=True, slots=True)
class Air:
    """The air around the car, kPa absolute, what told it, and in a sentence why that one won."""

    kpa: float
    source: AirSource
    why: str


def air_around(
    barometer_kpa: float | None = None, logged_kpa: float | None = None, height_m: float | None = None
) -> Air:
    """The air around the car from whatever is known of it; pressures in kPa absolute, `height_m` above the sea.

    `barometer_kpa` is typed, the air's own and not a weather report's (`from_report` turns that into it);
    `logged_kpa` is a log's barometer channel, passed over where it is no air a car drives in, as a sensor without
    power reads. Raises OutsideAtmosphere for a height no road reaches, where that is what is left.
    """
    stuck = logged_kpa is not None and not is_air(logged_kpa)
    logged = None if stuck else logged_kpa
    if barometer_kpa is not None:
        apart = logged is not None and abs(logged - barometer_kpa) > APART_KPA
        doubt = f" The log's says {logged:.1f} kPa: one of the two is wrong." if apart else ""
        return Air(barometer_kpa, AirSource.BAROMETER, "A barometer beside the car is the air itself." + doubt)
    if logged is not None:
        return Air(logged, AirSource.LOG, "No barometer was read, so the log's own counts.")
    passed = f"The log's barometer says {logged_kpa:.1f} kPa, which is no air. " if stuck else ""
    if height_m is not None:
        why = f"{passed}Worked out from the height, as on a standard day; weather moves it by some 3 kPa."
        return Air(standard_pressure_kpa(height_m), AirSource.HEIGHT, why)
    return Air(STANDARD_KPA, AirSource.STANDARD, f"{passed}Neither barometer nor height: a standard day by the sea.")


def from_report(reported_kpa: float, height_m: float) -> Air:
    """The air at a height from what a weather report says, reduced to sea level (QNH); kPa absolute.

    Raises OutsideAtmosphere as station_pressure_kpa does.
    """
    why = "A weather report's figure, reduced to sea level, turned back into the air's own at this height."
    return Air(station_pressure_kpa(reported_kpa, height_m), AirSource.BAROMETER, why)


def is_air(kpa: float) -> bool:
    """Whether a pressure (kPa absolute) is one a car is driven in; a sensor that failed or a wrong unit is not."""
    low, high = AIR_KPA
    return low <= kpa <= high
