"""A component: its page, a new one, its facts, and its leaving the car."""

from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.words import ComponentKind
from app.pages.changes import changes
from app.pages.doubts import meter
from app.pages.follows import OF_USE
from app.pages.forms import EMPTY, Filled, Form
from app.pages.laid import Laid
from app.pages.lines import fitting_doubt
from app.pages.part_words import STATES
from app.pages.replacements import still_to_come
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records import components as record
from app.records.car_parts import at_place
from app.records.cars import CarRow
from app.records.components import Component
from app.records.known import Known
from app.records.photos import photos_of
from app.records.refusals import label_of

router = APIRouter()

_UPPER = {ComponentKind.EGR_VALVE: "EGR valve"}
#: The kinds of component as pairs of stored and shown.
KINDS = [(kind.value, _UPPER.get(kind) or label_of(kind).capitalize()) for kind in ComponentKind]


@router.get("/components/{component_id}")
def show(request: Request, component_id: str) -> Response:
    """What it is, the lines on it, and what was done to it."""
    with garage_of(request).read() as db:
        found = record.component_page(db, component_id)
        photos_found = photos_of(db, "component", component_id)
        parts = at_place(db, found.component.car, component_id) if found else []
    if found is None:
        raise HTTPException(404, "There is no such component.")
    return page(
        request,
        "components/show.html",
        known={},
        of=found,
        photos_found=photos_found,
        at_place=parts,
        labels_of_parts=STATES,
        kinds=dict(KINDS),
        here=request.scope["state"]["device"],
    )


@router.get("/cars/{car_id}/components/new")
def new(request: Request, car_id: str) -> Response:
    """The empty form."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
    return _form(request, Filled({"record": new_id()}), car, None)


@router.post("/cars/{car_id}/components/new")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Add it; the drawing finds a place for it."""
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
        asks = fitting_doubt(db, car_id, form)
    if asks:
        return _form(request, form.again({}, asks), car, None, 422)
    component_id = form.record()
    outcome = garage.take(form.entry("component", component_id, {"car": car_id}))
    if outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), car, None, 422)
    return see(f"/components/{component_id}")


@router.get("/components/{component_id}/edit")
def edit(request: Request, component_id: str) -> Response:
    """The form with the component's facts in it."""
    with garage_of(request).read() as db:
        found = _the_component(db, component_id)
        car = the_car(db, found.car)
    return _form(request, EMPTY, car, found)


@router.post("/components/{component_id}/edit")
def change(request: Request, component_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        found = _the_component(db, component_id)
        car = the_car(db, found.car)
        asks = fitting_doubt(db, found.car, form)
    fields = changes(form, "component", asdict(found))
    if asks and "fitted_odometer" in fields:
        return _form(request, form.again({}, asks), car, found, 422)
    if fields:
        outcome = garage.take(form.make("component", component_id, fields))
        if outcome.outcome == "refused":
            return _form(request, form.again(outcome.reasons), car, found, 422)
    return see(f"/components/{component_id}")


@router.get("/components/{component_id}/retire")
def retire(request: Request, component_id: str) -> Response:
    """When it came off for good; not while lines still end at it."""
    return _retire_page(request, component_id, EMPTY)


@router.post("/components/{component_id}/retire")
def retired(request: Request, component_id: str, form: Form) -> Response:
    """Retire it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        _the_component(db, component_id)
        lines = record.lines_on(db, component_id)
    reasons = still_to_come(form, "retired_on")
    if lines:
        reasons[""] = "Lines still end at it. Move or retire those first."
    elif not form["retired_on"].strip():
        reasons["retired_on"] = "Write the day it came off."
    if not reasons:
        reasons |= garage.take(form.entry("component", component_id, only=("retired_on",))).reasons
    if reasons:
        return _retire_page(request, component_id, form.again(reasons), 422)
    return see(f"/components/{component_id}")


@router.post("/components/{component_id}/bring-back")
def bring_back(request: Request, component_id: str, form: Form) -> Response:
    """Undo a retirement."""
    garage = garage_of(request)
    with garage.read() as db:
        _the_component(db, component_id)
    garage.take(form.make("component", component_id, {"retired_on": None}))
    return see(f"/components/{component_id}")


def _retire_page(request: Request, component_id: str, form: Filled, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        found, lines = _the_component(db, component_id), record.lines_on(db, component_id)
    ends = {True: "from_component", False: "to_component"}
    facts: Known = {f"component/{component_id}": {"in_use": "yes"} if lines else {}}
    facts |= {f"line/{line.id}": {ends[bool(line.starts)]: component_id} for line in lines}
    shown: dict[str, Any] = {"component": found, "lines": lines, "known": facts, "follows": OF_USE}
    laid = Laid(facts, about=f"component/{component_id}")
    return page(request, "components/retire.html", status=status, form=form, l=laid, **shown)


def _form(request: Request, form: Filled, car: CarRow, component: Component | None, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        beside = {"known": {}, "meter": meter(db, car.id, car.distance_unit)}
    return page(
        request, "components/form.html", status=status, form=form, car=car, component=component, kinds=KINDS, **beside
    )


def _the_component(db: Connection, component_id: str) -> Component:
    found = record.component(db, component_id)
    if found is None:
        raise HTTPException(404, "There is no such component.")
    return found
