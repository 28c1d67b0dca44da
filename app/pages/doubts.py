"""Questions a form asks back before it hands in what is unlikely but may well be right."""

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import Connection

from app.pages.words import day, distance
from app.records.cars import CarRow
from app.records.distance import last_figures, odometer_before
from app.records.fields import Number, read_moment
from app.records.kinds import KINDS
from app.records.logbook import now
from app.workings.ambient import from_report
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


#: The question whose yes is: turn it into the air's own.
REPORTED = "barometer_value.report"


def barometer_doubts(figure_text: str, unit_text: str, altitude_text: str) -> dict[str, str]:
    """What to ask about a barometer figure that a weather report gave, by key; nothing where there is no doubt.

    Reports give the pressure reduced to sea level, which high up is far from the air the car breathes. Either it is one
    (REPORTED), and is turned back into the air's own, or it is right all the same.
    """
    own = air_reported(figure_text, unit_text, altitude_text)
    if own is None:
        return {}
    altitude, unit = _FIGURE.validate_python(altitude_text.strip()), unit_of(unit_text, PressureUnit)
    usual = convert(standard_pressure_kpa(altitude), PressureUnit.KPA, unit)
    return {
        REPORTED: f"It is a weather report's: keep {own} {unit_text}, the air's own at {altitude:.0f} m.",
        "barometer_value": (
            f"{figure_text} {unit_text} is what a weather report says, reduced to sea level. At {altitude:.0f} m the "
            f"air itself is at about {usual:.4g} {unit_text}. Is it right all the same?"
        ),
    }


def air_reported(figure_text: str, unit_text: str, altitude_text: str) -> str | None:
    """A weather report's figure, as typed, turned into the air's own in the same unit; None for any other figure."""
    try:
        altitude = _FIGURE.validate_python(altitude_text.strip())
        unit = unit_of(unit_text, PressureUnit)
        kpa = convert(_FIGURE.validate_python(figure_text.strip()), unit, PressureUnit.KPA)
        if barometer_figure(kpa, altitude) is not BarometerFigure.REDUCED:
            return None
        return f"{convert(from_report(kpa, altitude).kpa, PressureUnit.KPA, unit):.4g}"
    except (ValidationError, ValueError):
        return None


def _on(at: str) -> str:
    said = day(at)
    return said if said in {"today", "yesterday"} else f"on {said}"
