"""Fastener groups of a car: wheels, calipers, mountings. Their figure, where it is from, and each check of them."""

from collections.abc import Iterator
from dataclasses import asdict, replace
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.changes import changes
from app.pages.doubts import meter, odometer_doubt
from app.pages.follows import OF_FASTENERS
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.torque_doubt import UNITS, ask_of, doubts_of
from app.pages.which import the_car
from app.records import fasteners as record
from app.records.car_known import car_itself, filled
from app.records.distance import odometer
from app.records.entry import Entry, Value
from app.records.fasteners import OF_LABEL, FastenerRow
from app.records.known import Known
from app.records.logbook import RefusedError, now
from app.records.wrenches import wrenches

router = APIRouter()

LABELS = {
    "of": {of: label.capitalize() for of, label in OF_LABEL.items()},
    "unit": {unit.value: unit.label for unit in UNITS},
}
#: Wheel fasteners are looked at again after 50 to 100 km. (Common practice, no source: the car's maker comes first.)
AGAIN = {"km": (50, 100), "mi": (30, 60)}
_UNITS = [(unit.value, unit.label) for unit in UNITS]
_SHOWN = ("car", "name", "of", "how_many", "thread", "strength_class", "torque_value", "torque_tolerance")
_FIELDS = (*_SHOWN, "torque_unit", "torque_source", "retired_on", "note", "void_reason", "checked_at")


@router.get("/cars/{car_id}/fasteners")
def every(request: Request, car_id: str) -> Response:
    """Every group of the car, and when each was last checked."""
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), record.fasteners_of(db, car_id)
        known = {**car_itself(db, car)}
    known |= {f"fastener/{one.id}": filled((name, getattr(one, name)) for name in _FIELDS) for one in found}
    more: dict[str, Any] = {"known": known, "labels": LABELS, "follows": OF_FASTENERS, "laid": Laid(known, LABELS)}
    return page(request, "fasteners/list.html", car=car, groups=found, **more)


@router.get("/cars/{car_id}/fasteners/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form."""
    return _form(request, Filled({"record": new_id()}), car_id)


@router.post("/cars/{car_id}/fasteners/new")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Take it, or show the form again."""
    garage = garage_of(request)
    said, reasons = _torque_said(form)
    with garage.read() as db:
        the_car(db, car_id)
    made = form.record()
    if not reasons:
        reasons = dict(garage.take(said.entry("fastener", made, {"car": car_id})).reasons)
    if reasons:
        return _form(request, form.again(reasons), car_id, None, 422)
    return see(f"/fasteners/{made}")


@router.get("/fasteners/{fastener_id}")
def show(request: Request, fastener_id: str) -> Response:
    """Its figure, the form to check it, and its last checks."""
    with garage_of(request).read() as db:
        return _show(request, db, the_fastener(db, fastener_id), EMPTY)


@router.post("/fasteners/{fastener_id}")
def check(request: Request, fastener_id: str, form: Form) -> Response:
    """Take the check, and set the look after the first kilometres if it was ticked: one act."""
    garage = garage_of(request)
    with garage.read() as db:
        here = the_fastener(db, fastener_id)
        asks = doubts_of(here, form, wrenches(db), "fastener")
        far = odometer_doubt(db, the_car(db, here.car), form["odometer"], form["done_at"])
    asks |= {"odometer": far} if far and "odometer" not in form.sure else {}
    reasons: dict[str, str] = {}
    if not asks:
        try:
            garage.take_all(_entries(form, here))
        except RefusedError as refused:
            reasons = reasons_of(refused.outcomes[:1])
        else:
            return see(f"/fasteners/{fastener_id}")
    with garage.read() as db:
        return _show(request, db, here, form.again(reasons, asks), 422)


@router.get("/fasteners/{fastener_id}/edit")
def edit(request: Request, fastener_id: str) -> Response:
    """The form with what is known of it."""
    with garage_of(request).read() as db:
        found = the_fastener(db, fastener_id)
    return _form(request, EMPTY, found.car, found)


@router.post("/fasteners/{fastener_id}/edit")
def change(request: Request, fastener_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        found = the_fastener(db, fastener_id)
    said, reasons = _torque_said(form)
    fields = changes(said, "fastener", asdict(found))
    if fields and not reasons:
        reasons = dict(garage.take(form.make("fastener", fastener_id, fields)).reasons)
    if reasons:
        return _form(request, form.again(reasons), found.car, found, 422)
    return see(f"/fasteners/{fastener_id}")


def the_fastener(db: Connection, fastener_id: str) -> FastenerRow:
    """The group of that id. Raises HTTPException 404."""
    found = record.fastener(db, fastener_id)
    if found is None:
        raise HTTPException(404, "There is no such group of fasteners.")
    return found


def _torque_said(form: Posted) -> tuple[Posted, dict[str, str]]:
    """The form as it is meant, and what is wrong with its torque: a unit is always chosen and says nothing alone."""
    if form["torque_value"].strip():
        if form["torque_source"].strip():
            return form, {}
        return form, {"torque_source": "Say where the figure is from; the car's maker comes first."}
    stray = [name for name in ("torque_tolerance", "torque_source") if form[name].strip()]
    reasons = {"torque_value": "Write the torque this belongs to, or clear it."} if stray else {}
    return replace(form, values={**form.values, "torque_unit": ""}), reasons


def _entries(form: Posted, here: FastenerRow) -> Iterator[Entry]:
    made, done_at = form.record(), form["done_at"] or now()
    about: dict[str, Value] = {"car": here.car, "fastener": here.id, "done_at": done_at}
    if not form["torque_value"].strip():
        about |= {"torque_value": None, "torque_unit": None}  # a unit without a figure says nothing
    yield form.entry("check", made, about)
    if form["again"]:
        first, last = AGAIN[here.distance_unit]
        said: dict[str, Value] = {"car": here.car, "fastener": here.id, "what": here.name, "since_at": done_at}
        said |= {"since_odometer": form["odometer"], "after_distance": str(first)}
        said |= {"note": f"After {first} to {last} {here.distance_unit}: common practice, the car's maker comes first."}
        yield form.make("recheck", f"{made}.again", said)


def _show(request: Request, db: Connection, here: FastenerRow, form: Filled, status: int = 200) -> Response:
    car, checks, last = the_car(db, here.car), record.checks_on(db, here.id), odometer(db, here.car)
    known: Known = {**car_itself(db, car)}
    known[f"fastener/{here.id}"] = filled((name, getattr(here, name)) for name in _FIELDS)
    for one in checks:
        fields = {name: value for name, value in asdict(one).items() if name != "id"}
        fields |= {"fastener": here.id, "good": "yes" if one.good else "no"}
        known[f"check/{one.id}"] = filled(fields.items())
    tools = wrenches(db)
    for tool in tools:
        known[f"wrench/{tool.id}"] = {"name": tool.name}
    more: dict[str, Any] = {"checks": checks, "wrenches": tools, "units": UNITS, "again": AGAIN[here.distance_unit]}
    more |= {"meter": meter(db, here.car, here.distance_unit), "last": last, "ask": ask_of(here), "labels": LABELS}
    laid = Laid(known, LABELS, about=f"fastener/{here.id}")
    more |= {"known": known, "follows": OF_FASTENERS, "l": laid}
    return page(request, "fasteners/show.html", status=status, group=here, form=form, **more)


def _form(request: Request, form: Filled, car_id: str, found: FastenerRow | None = None, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
    more: dict[str, Any] = {"known": {}, "kinds": list(LABELS["of"].items()), "units": _UNITS, "car": car}
    return page(request, "fasteners/form.html", status=status, form=form, group=found, **more)
