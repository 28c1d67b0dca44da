"""Re-checks: what is due to be looked at again, setting one, and doing one."""

from collections.abc import Iterator
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.doubts import odometer_doubt
from app.pages.forms import EMPTY, Form, Posted, reasons_of
from app.pages.shell import garage_of, new_id, page, see
from app.pages.torque_doubt import UNITS
from app.pages.which import choices_of, the_car
from app.records import rechecks as record
from app.records.distance import odometer
from app.records.entry import Entry, Value
from app.records.logbook import RefusedError
from app.records.rechecks import RecheckRow

router = APIRouter()


@router.get("/cars/{car}/rechecks")
def every_recheck(request: Request, car: str) -> Response:
    """What is to be looked at again, the nearest first."""
    with garage_of(request).read() as db:
        return page(request, "rechecks/list.html", car=the_car(db, car), rechecks=record.due(db, car))


@router.get("/cars/{car}/rechecks/new")
def new_recheck(request: Request, car: str, at: str = "") -> Response:
    """The empty form; `at` is the line or component it is about, if that is known."""
    with garage_of(request).read() as db:
        return page(request, "rechecks/new.html", form=EMPTY, at=at, record=new_id(), **_beside(db, car))


@router.post("/cars/{car}/rechecks/new")
def add_recheck(request: Request, car: str, form: Form) -> Response:
    """Take the re-check, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, car)
    made = form.record()
    outcome = garage.take(form.entry("recheck", made, {"car": car}))
    if outcome.outcome == "refused":
        again = form.again(reasons_of([outcome]))
        return page(request, "rechecks/new.html", status=422, form=again, at="", record=made, **beside)
    return see(f"/cars/{car}/rechecks")


@router.get("/rechecks/{recheck}")
def one_recheck(request: Request, recheck: str) -> Response:
    """The check to make, and the next one to set with it."""
    with garage_of(request).read() as db:
        return _do(request, 200, db, recheck, form=EMPTY, check_id=new_id(), following=new_id())


@router.post("/rechecks/{recheck}")
def do_recheck(request: Request, recheck: str, form: Form) -> Response:
    """Take the check, mark the re-check done, and set the next one if it was ticked: one act."""
    garage = garage_of(request)
    with garage.read() as db:
        here = _the_recheck(db, recheck)
        doubt = odometer_doubt(db, the_car(db, here.car), form["odometer"], form["done_at"])
        asks = {"odometer": doubt} if doubt and "odometer" not in form.sure else {}
        reasons: dict[str, str] = {}
    if not asks:
        try:
            garage.take_all(_entries(form, here))
        except RefusedError as refused:
            reasons = reasons_of(refused.outcomes[:1])
        else:
            return see(f"/cars/{here.car}/rechecks")
    with garage.read() as db:
        again = form.again(reasons, asks)
        return _do(request, 422, db, recheck, form=again, check_id=form.record(), following=form["following"])


@router.post("/rechecks/{recheck}/undo")
def not_done(request: Request, recheck: str, form: Form) -> Response:
    """Undo: it was not done after all. What was checked no longer counts."""
    garage = garage_of(request)
    with garage.read() as db:
        _the_recheck(db, recheck)
        checks = record.checks_of(db, recheck)
    voided = [form.make("check", one, {"void_reason": "Not done after all"}) for one in checks]
    garage.take_all([form.make("recheck", recheck, {"done_at": None}), *voided])
    return see(f"/rechecks/{recheck}")


def _do(request: Request, status: int, db: Connection, recheck: str, **more: object) -> Response:
    here = _the_recheck(db, recheck)
    last = odometer(db, here.car)
    return page(request, "rechecks/show.html", status=status, recheck=here, last=last, units=UNITS, **more)


def _entries(form: Posted, recheck: RecheckRow) -> Iterator[Entry]:
    named: dict[str, Value] = {"joint": recheck.joint, "line": recheck.line, "component": recheck.component}
    about: dict[str, Value] = {"car": recheck.car, "recheck": recheck.id}
    about |= {name: value for name, value in named.items() if value is not None} or {"what": recheck.what}
    if not form["torque_value"].strip():
        about |= {"torque_value": None, "torque_unit": None}  # a unit without a figure says nothing
    yield form.entry("check", form.record(), about)
    yield form.make("recheck", recheck.id, {"done_at": form["done_at"]})
    if form["next"]:
        limits: dict[str, Value] = {name: form[name] for name in ("after_heat_cycles", "after_distance", "after_days")}
        since: dict[str, Value] = {"since_at": form["done_at"], "since_odometer": form["odometer"]}
        kept: dict[str, Value] = {"car": recheck.car, "what": recheck.what}
        yield form.make("recheck", form["following"], kept | named | since | limits)


def _beside(db: Connection, car: str) -> dict[str, Any]:
    return {"car": the_car(db, car), "last": odometer(db, car), **choices_of(db, car)}


def _the_recheck(db: Connection, recheck: str) -> RecheckRow:
    found = record.recheck(db, recheck)
    if found is None:
        raise HTTPException(404, "There is no such re-check.")
    return found
