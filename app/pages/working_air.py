"""What /workings/air answers: a weather report's figure, reduced to sea level, as the air's own at the car's height."""

from collections.abc import Mapping
from typing import Any

from app.pages.words import number
from app.pages.working_boxes import Answer, Boxes
from app.workings.ambient import AIR_KPA, from_report, is_air
from app.workings.atmosphere import (
    STANDARD_EXPONENT,
    STANDARD_KPA,
    STANDARD_LAPSE,
    WEATHER_KPA,
    BarometerFigure,
    barometer_figure,
    standard_pressure_kpa,
)
from app.workings.units import PressureUnit, convert

#: The units weather reports and barometers come in, with the decimals either is given to.
AIR_UNITS = {PressureUnit.MBAR: 0, PressureUnit.KPA: 1, PressureUnit.INHG: 2}

NO_AIR = "The air is never at that where cars drive. Look at the unit."
TOO_HIGH = "No road runs as high as that: write metres."
#: No road does (the highest is below 5900 m, from memory).
HIGHEST_M = 6000.0
OWN = (
    "Reduced to sea level, no weather brings this figure: it is the air's own already, as a barometer beside the car "
    "shows it. Use it as it is."
)


def air(typed: Mapping[str, str]) -> Answer:
    """The air's own pressure from a weather report's, a standard day's, and what leaving it as it is would spoil."""
    boxes = Boxes(typed)
    unit = next((one for one in AIR_UNITS if one.value == boxes.text("unit")), PressureUnit.MBAR)
    pressure, height = boxes.figure("pressure"), boxes.figure("height", zero=True)
    kpa = None if pressure is None else convert(pressure, unit, PressureUnit.KPA)
    if kpa is not None and not is_air(kpa):
        boxes.wrong["pressure"] = NO_AIR
    if height is not None and height > HIGHEST_M:
        boxes.wrong["height"] = TOO_HIGH
    if kpa is None or height is None or boxes.wrong:
        return Answer(wrong=boxes.wrong)

    def said(figure_kpa: float) -> str:
        return f"{number(convert(figure_kpa, PressureUnit.KPA, unit), AIR_UNITS[unit])} {unit.label}"

    if barometer_figure(kpa, height) is BarometerFigure.STATION:
        return Answer({"own": OWN, "standard": said(standard_pressure_kpa(height))})
    own = from_report(kpa, height).kpa
    return Answer({"station": said(own), "standard": said(standard_pressure_kpa(height)), "off": said(kpa - own)})


def air_numbers() -> dict[str, Any]:
    """What the phone reckons the same with."""
    return {
        "units": {
            unit.value: {"one": unit.si_per_unit / 1e3, "label": unit.label, "places": places}
            for unit, places in AIR_UNITS.items()
        },
        "standard": STANDARD_KPA,
        "lapse": STANDARD_LAPSE,
        "exponent": STANDARD_EXPONENT,
        "weather": WEATHER_KPA,
        "range": AIR_KPA,
        "highest": HIGHEST_M,
        "says": {"none": NO_AIR, "high": TOO_HIGH, "own": OWN},
    }
