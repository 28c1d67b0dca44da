"""The numbers a phone needs to hold a reading against its baseline as the garage does (static/bay/gauge.js)."""

from collections.abc import Iterable

from sqlalchemy import Connection

from app.airpath.readings import CONDITION_LABEL, READINGS, ReadingKind
from app.records.baselines import LEARN_FROM, healthy_of
from app.records.kept import kept
from app.records.readings import PICTURED, ReadingRow, Series
from app.records.shown import PLACES
from app.workings import spread
from app.workings.atmosphere import STANDARD_EXPONENT, STANDARD_KPA, STANDARD_LAPSE
from app.workings.units import MassFlowUnit, PressureUnit, TimeUnit

Json = dict[str, object]


def numbers(db: Connection, car: str, series: Iterable[Series]) -> Json:
    """Everything about these series of a car: their last readings, what is usual, and how that is reckoned."""
    healthy = _healthy(db, car)
    return FIXED | {
        "car": car,
        "pictured": PICTURED,
        "learn_from": LEARN_FROM,
        "series": {
            past[-1].series: {
                "past": [_past(one) for one in past],
                "typed": [usual.usual.centre, usual.usual.spread] if usual and usual.typed else None,
                "healthy": healthy.get(past[-1].series, []),
            }
            for past, usual in series
        },
    }


@kept
def _healthy(db: Connection, car: str) -> dict[str, list[list[object]]]:
    return {
        series: [[record[-8:], _short(si), _short(step)] for record, si, step in of]
        for series, of in healthy_of(db, car).items()
    }


def _past(one: ReadingRow) -> list[object]:
    return [
        one.id,
        one.taken_at,
        one.value,
        one.unit,
        one.basis,
        one.ambient_kpa,
        one.si,
        one.free_name,
        one.engine_speed,
    ]


def _short(figure: float) -> float:
    # A thousandth of what would move a reading on a limit over it; the full digits would be most of the page.
    return float(f"{figure:.12g}")


def _kinds() -> Json:
    return {
        what.value: {
            "label": kind.label,
            "quantity": kind.quantity,
            "conditions": {one.value: CONDITION_LABEL[one] for one in kind.conditions},
        }
        for what, kind in READINGS.items()
    }


def _units() -> Json:
    pressure = {unit.value: (unit.si_per_unit / 1e3, unit.label) for unit in PressureUnit}
    others = {unit.value: (unit.si_per_unit, unit.label) for family in (TimeUnit, MassFlowUnit) for unit in family}
    units = pressure | others | {"%": (1.0, "%")}
    return {key: {"one": one, "label": label, "places": PLACES.get(key)} for key, (one, label) in units.items()}


#: The part of it that is the same for every car.
FIXED: Json = {
    "kinds": _kinds(),
    "free": ReadingKind.FREE.value,
    "units": _units(),
    "air": {"standard": STANDARD_KPA, "lapse": STANDARD_LAPSE, "exponent": STANDARD_EXPONENT},
    "spread": {
        "consistency": spread.CONSISTENCY,
        "few": spread.FEW,
        "edge": spread.EDGE_SPREADS,
        "outside": spread.OUTSIDE_SPREADS,
        "enough": spread.ENOUGH,
    },
}
