"""Questions a form asks back before it hands in what is unlikely but may well be right."""

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import Connection

from app.pages.words import day, distance
from app.records.cars import CarRow
from app.records.distance import last_figures, odometer_before
from app.records.fields import Number, read_moment
from app.records.kinds import KINDS
from app.records.logbook import now
from app.workings.atmosphere import (
    STANDARD_EXPONENT,
    STANDARD_KPA,
    STANDARD_LAPSE,
    WEATHER_KPA,
    BarometerFigure,
    barometer_figure,
    standard_pressure_kpa,
)
from app.workings.units import PressureUnit, convert, unit_of

#: In the car's own unit. A slip of one digit is more; few cars are driven so far between two entries.
LEAP = 5_000

#: A form for something long past is held to what the phone has of that time, or to nothing.
_FIGURES_TAKEN_ALONG = 12
_METERED = {kind.name: kind.odometer for kind in KINDS.values() if kind.odometer}

_FIGURE: TypeAdapter[float] = TypeAdapter(Number)


def odometer_doubt(db: Connection, car: CarRow, reads_text: str, at_text: str) -> str | None:
    """The question to ask about an odometer figure, as typed; None where there is nothing to ask.

    Asked when it runs backwards against the last figure known at that moment (now, if `at_text` is empty), or leaps
    by more than LEAP from it. What can't be read as a figure or a moment is left for the door to refuse.
    """
    try:
        reads = _FIGURE.validate_python(reads_text.strip())
        at = read_moment(at_text) if at_text.strip() else now()
    except (ValidationError, ValueError):
        return None
    last = odometer_before(db, car.id, at)
    if last is None or 0 <= reads - last.reads <= LEAP:
        return None
    unit = car.distance_unit
    before = f"The odometer read {distance(last.reads, unit)} {_on(last.at)}."
    if reads < last.reads:
        return f"{before} Is {distance(reads, unit)} right (a new instrument cluster)?"
    return f"{before} Is {distance(reads, unit)} right, {distance(reads - last.reads, unit)} further?"


def meter(db: Connection, car_id: str, unit: str) -> dict[str, object]:
    """What a phone needs to ask what odometer_doubt asks (static/bay/meter.js), for a page with such a box."""
    said = last_figures(db, car_id, _FIGURES_TAKEN_ALONG)
    return {"of": ("car", car_id), "said": said, "kinds": _METERED, "leap": LEAP, "unit": unit}


#: What a phone needs to ask what barometer_doubt asks (static/bay/barometer.js).
AIR = {"standard": STANDARD_KPA, "lapse": STANDARD_LAPSE, "exponent": STANDARD_EXPONENT, "weather": WEATHER_KPA}


def barometer_doubt(figure_text: str, unit_text: str, altitude_text: str) -> str | None:
    """The question to ask about a barometer figure that a weather report gave; None where there is nothing to ask.

    Reports give the pressure reduced to sea level, which high up is far from the air the car breathes.
    """
    try:
        altitude = _FIGURE.validate_python(altitude_text.strip())
        kpa = convert(_FIGURE.validate_python(figure_text.strip()), unit_of(unit_text, PressureUnit), PressureUnit.KPA)
        kind = barometer_figure(kpa, altitude)
    except (ValidationError, ValueError):
        return None
    if kind is not BarometerFigure.REDUCED:
        return None
    usual = standard_pressure_kpa(altitude)
    return (
        f"{figure_text} {unit_text} is what a weather report says, reduced to sea level. At {altitude:.0f} m the air "
        f"itself is at about {convert(usual, PressureUnit.KPA, unit_of(unit_text, PressureUnit)):.4g} {unit_text}. "
        "Is it right all the same?"
    )


def _on(at: str) -> str:
    said = day(at)
    return said if said in {"today", "yesterday"} else f"on {said}"
