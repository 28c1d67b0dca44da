"""Taking a reading: choose what, then write the figure down with what it was read under."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.readings import CONDITION_LABEL, READINGS, KindOfReading, ReadingKind
from app.pages import gauges
from app.pages.doubts import AIR, REPORTED, air_reported, barometer_doubts, meter, odometer_doubt
from app.pages.forms import Filled, Form, Posted
from app.pages.readings import the_kind
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records import readings as record
from app.records.boost_targets import BOOSTS, target_id
from app.records.cars import CarRow
from app.records.known import known as known_of
from app.workings.units import PressureUnit, UnknownUnit, unit_named

router = APIRouter()

BASES = {"vacuum": "vacuum", "gauge": "boost", "absolute": "absolute"}
BAROMETERS = [
    (unit.value, unit.label, unit.si_per_unit / 1e3)
    for unit in (PressureUnit.MBAR, PressureUnit.KPA, PressureUnit.INHG)
]


@dataclass(frozen=True, slots=True)
class Choices:
    """What a form about one kind of reading offers: pairs of (stored, shown), and what is chosen at first."""

    what: ReadingKind
    kind: KindOfReading
    units: Sequence[tuple[str, str]]
    bases: Sequence[tuple[str, str]]
    conditions: Sequence[tuple[str, str]]
    unit: str | None
    basis: str | None
    condition: str
    names: Sequence[str] = ()


@router.get("/cars/{car_id}/readings/new")
def choose(request: Request, car_id: str) -> Response:
    """What was read?"""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
    kinds = [(what, kind) for what, kind in READINGS.items() if car.turbocharged or kind.bases[:1] != ("gauge",)]
    return page(request, "readings/choose.html", car=car, kinds=kinds)


@router.get("/cars/{car_id}/readings/new/{kind}")
def blank(request: Request, car_id: str, kind: str) -> Response:
    """The empty form, in the unit this kind was read in last time; `condition` in the address chooses that."""
    what = the_kind(kind)
    condition = request.query_params.get("condition")
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        offered = choices(db, car_id, what)
    start = {"record": new_id(), "job": request.query_params.get("job", "")}
    if condition in READINGS[what].conditions:
        start["condition"] = str(condition)
    return _form(request, Filled(start), car, offered)


@router.post("/cars/{car_id}/readings/new/{kind}")
def take(request: Request, car_id: str, kind: str, form: Form) -> Response:
    """Keep the reading and show it against its baseline, or show the form again."""
    what, form = the_kind(kind), _as_air(form)
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
        offered = choices(db, car_id, what)
        doubt = odometer_doubt(db, car, form["odometer"], form["taken_at"])
    asks = {"odometer": doubt} if doubt and "odometer" not in form.sure else {}
    if "barometer_value" not in form.sure:
        asks |= barometer_doubts(form["barometer_value"], form["barometer_unit"], form["altitude_m"])
    if asks:
        return _form(request, form.again({}, asks), car, offered, 422)
    reading_id = form.record()
    outcome = garage.take(form.entry("reading", reading_id, {"car": car_id, "what": what}))
    if outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), car, offered, 422)
    return see(f"/readings/{reading_id}")


def _as_air(form: Posted) -> Posted:
    """The form with a weather report's figure turned into the air's own, where that was the answer."""
    own = air_reported(form["barometer_value"], form["barometer_unit"], form["altitude_m"])
    if REPORTED not in form.sure or "barometer_value" in form.sure or own is None:
        return form
    return replace(form, values={**form.values, "barometer_value": own})


def choices(db: Connection, car_id: str, what: ReadingKind) -> Choices:
    """What can be chosen for this kind, the way it was read last time chosen already."""
    kind = READINGS[what]
    last = record.last_of(db, car_id, what)
    conditions = [(condition.value, CONDITION_LABEL[condition]) for condition in kind.conditions]
    return Choices(
        what,
        kind,
        [(unit, unit_label(unit)) for unit in kind.units],
        [(basis, BASES[basis]) for basis in kind.bases],
        conditions if len(conditions) > 1 else [],
        last.unit if last and last.unit in kind.units else next(iter(kind.units), None),
        last.basis if last and last.basis in kind.bases else next(iter(kind.bases), None),
        kind.conditions[0],  # not the last one: a wrong guess here would go unseen into what is usual
        record.free_names(db, car_id) if what is ReadingKind.FREE else (),
    )


def unit_label(unit: str) -> str:
    """A unit as printed."""
    try:
        return unit_named(unit).label
    except UnknownUnit:
        return unit


def _form(request: Request, form: Filled, car: CarRow, offered: Choices, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        read_before = meter(db, car.id, car.distance_unit)
        known = known_of(db, "boost_target", id=target_id(car.id)) if offered.what in BOOSTS else {}
    return page(
        request,
        "readings/new.html",
        status=status,
        form=form,
        car=car,
        what=offered.what,
        offered=offered,
        barometers=BAROMETERS,
        reports=AIR,
        known=known,
        meter=read_before,
        is_boost=offered.what in BOOSTS,
        **({"gauges": gauges.FIXED} if offered.what in BOOSTS else {}),
    )
