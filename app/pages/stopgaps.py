"""Stopgaps: putting one on, seeing what is left of it, and ending it."""

from dataclasses import asdict

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.words import MATERIAL_LABEL, LineState
from app.pages.changes import changes
from app.pages.doubts import meter, odometer_doubt
from app.pages.follows import OF_STOPGAPS
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.ticket_moments import not_before
from app.pages.which import the_car
from app.records import stopgaps as record
from app.records.car_known import car_itself, places_known, stopgap_known
from app.records.logbook import RefusedError
from app.records.rechecks import SOON
from app.records.slips import slip_of
from app.records.stopgaps import Place, StopgapLine

router = APIRouter()

#: What is on in its place, as the form that ends a stopgap asks.
ENDS = (("part", "The permanent part"), ("old", "The old part again"), ("another", "Another stopgap"))
MATERIALS = [(material.value, label) for material, label in MATERIAL_LABEL.items()]
_ORDER = ("part_name", "part_bore_mm", "part_length_mm", "part_material", "part_stands", "ordered_on", "expected_on")


@router.get("/cars/{car_id}/stopgaps")
def every(request: Request, car_id: str) -> Response:
    """The ones that are on, and the last that were."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        on, ended = record.stopgaps_of(db, car_id), record.ended_stopgaps(db, car_id)
        known = {**car_itself(db, car), **places_known(db, car_id)}
    on = sorted(on, key=lambda gap: gap.fitted_at, reverse=True)
    known |= {f"stopgap/{gap.id}": stopgap_known(gap) for gap in (*on, *ended)}
    return page(
        request,
        "stopgaps/list.html",
        car=car,
        on=on,
        ended=ended,
        known=known,
        laid=Laid(known),
        follows=OF_STOPGAPS,
    )


@router.get("/cars/{car_id}/stopgaps/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form, with what the address says already in it: a line, a component, or a ticket's culprit."""
    asked = request.query_params
    start = {name: asked[name] for name in ("line", "component", "ticket", "job") if asked.get(name)}
    if "ticket" in start and not start.keys() & {"line", "component"}:
        with garage_of(request).read() as db:
            culprit = zip(("line", "component"), record.found_at_fault(db, car_id, start["ticket"]), strict=True)
        start |= {name: found for name, found in culprit if found}
    return _form(request, Filled(start | {"record": new_id()}), car_id)


@router.post("/cars/{car_id}/stopgaps/new")
def put_on(request: Request, car_id: str, form: Form) -> Response:
    """Put it on, and with it the line's state; or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
        asked = odometer_doubt(db, car, form["fitted_odometer"], form["fitted_at"])
        reasons = _misplaced(form, record.line_places(db, car_id), record.component_places(db, car_id))
    asks = {"odometer": asked} if asked and "odometer" not in form.sure else {}
    if reasons or asks:
        return _form(request, form.again(reasons, asks), car_id, 422)
    stopgap = form.record()
    entries = [form.entry("stopgap", stopgap, {"car": car_id})]
    if form["line"]:
        entries.append(form.make("line", form["line"], {"state": LineState.STOPGAP}))
    try:
        garage.take_all(entries)
    except RefusedError as refused:
        return _form(request, form.again(reasons_of(refused.outcomes[:1])), car_id, 422)
    return see(f"/stopgaps/{stopgap}")


@router.get("/stopgaps/{stopgap_id}")
def show(request: Request, stopgap_id: str) -> Response:
    """What is left of it, what it waits for, and the forms to order and to end it."""
    with garage_of(request).read() as db:
        found = the_stopgap(db, stopgap_id)
    return _show(request, EMPTY, found)


@router.post("/stopgaps/{stopgap_id}/order")
def order(request: Request, stopgap_id: str, form: Form) -> Response:
    """Write down the permanent part, and when it was ordered and is expected."""
    garage = garage_of(request)
    with garage.read() as db:
        found = the_stopgap(db, stopgap_id)
    changed = {name: value for name, value in changes(form, "stopgap", asdict(found)).items() if name in _ORDER}
    outcome = garage.take(form.make("stopgap", stopgap_id, changed)) if changed else None
    if outcome is not None and outcome.outcome == "refused":
        return _show(request, form.again(outcome.reasons), found, 422)
    return see(f"/stopgaps/{stopgap_id}")


@router.post("/stopgaps/{stopgap_id}/end")
def end(request: Request, stopgap_id: str, form: Form) -> Response:
    """End it; the line then is what went on in its place."""
    garage = garage_of(request)
    with garage.read() as db:
        found = the_stopgap(db, stopgap_id)
        fitted_before = found.line is not None and record.was_replaced_before(db, found.line)
    at, reasons = not_before(form["ended_at"], "ended_at", (found.fitted_at, "it was put on"))
    if not form["ended_at"].strip():
        reasons["ended_at"] = "Write when it ended."
    if form["on_now"] not in dict(ENDS):
        reasons["on_now"] = "Say what is on there now."
    if reasons:
        return _show(request, form.again(reasons), found, 422)
    how = form["ended_how"].strip() or f"{dict(ENDS)[form['on_now']]} is on"
    entries = [form.make("stopgap", stopgap_id, {"ended_at": at, "ended_how": how})]
    if found.line and form["on_now"] != "another":
        new = form["on_now"] == "part" or fitted_before
        state = LineState.REPLACED if new else LineState.ORIGINAL
        entries.append(form.make("line", found.line, {"state": state}))
    try:
        garage.take_all(entries)
    except RefusedError as refused:
        return _show(request, form.again(reasons_of(refused.outcomes[:1])), found, 422)
    return see(f"/stopgaps/{stopgap_id}")


def the_stopgap(db: Connection, stopgap_id: str) -> StopgapLine:
    """The stopgap of that id. Raises HTTPException 404."""
    found = record.stopgap(db, stopgap_id)
    if found is None:
        raise HTTPException(404, "There is no such stopgap.")
    return found


def _misplaced(form: Posted, lines: list[Place], components: list[Place]) -> dict[str, str]:
    reasons = {}
    for name, there in (("line", lines), ("component", components)):
        if not form[name]:
            continue
        found = next((one for one in there if one.id == form[name]), None)
        if found is None:
            reasons[name] = f"This {name} is not on this car."
        elif found.retired_on:
            reasons[name] = f"This {name} is off the car for good. Bring it back first."
    return reasons


def _form(request: Request, form: Filled, car_id: str, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        lines, components = record.line_places(db, car_id), record.component_places(db, car_id)
        beside = {"known": {}, "meter": meter(db, car_id, car.distance_unit)}
    on = next((one for one in lines if one.id == form.values.get("line")), None)
    return page(
        request,
        "stopgaps/new.html",
        status=status,
        form=form,
        car=car,
        lines=[(one.id, one.name) for one in lines if not one.retired_on],
        components=[(one.id, one.name) for one in components if not one.retired_on],
        **beside,
        stand_still=on is not None and on.role in record.NOT_TO_BE_DRIVEN_ON,
        materials=MATERIALS,
    )


def _show(request: Request, form: Filled, found: StopgapLine, status: int = 200) -> Response:
    ref = f"stopgap/{found.id}"
    with garage_of(request).read() as db:
        known = {**car_itself(db, the_car(db, found.car)), **places_known(db, found.car), ref: stopgap_known(found)}
        before = found.line is not None and record.was_replaced_before(db, found.line)
        slip = slip_of(db, "stopgap", found.id)
    return page(
        request,
        "stopgaps/show.html",
        slip=slip,
        SOON=SOON,
        status=status,
        form=form,
        gap=found,
        ends=ENDS,
        materials=MATERIALS,
        known=known,
        follows=OF_STOPGAPS,
        l=Laid(known, about=ref),
        old_state=LineState.REPLACED if before else LineState.ORIGINAL,
    )
