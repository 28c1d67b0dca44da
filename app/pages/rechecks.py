"""Re-checks: what is due to be looked at again, setting one, and doing one."""

from collections.abc import Iterator
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.car_facts import Facts, Slots
from app.pages.doubts import meter, odometer_doubt
from app.pages.follows import OF_RECHECKS
from app.pages.forms import EMPTY, Filled, Form, Posted, reasons_of
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.torque_doubt import NO_TORQUE, UNITS, ask_of, doubts_of
from app.pages.which import choices_of, the_car
from app.records import rechecks as record
from app.records.car_known import car_itself, places_known, recheck_known
from app.records.distance import odometer
from app.records.entry import Entry, Value
from app.records.fasteners import FastenerRow, fastener, fasteners_of
from app.records.known import Known, known
from app.records.lines import Joint, joint
from app.records.logbook import RefusedError, now
from app.records.rechecks import SOON, RecheckRow
from app.records.wrenches import wrenches

router = APIRouter()

#: What a re-check may be about beside its own words.
_ABOUT = ("joint", "line", "component", "fastener")


@router.get("/cars/{car}/rechecks")
def every_recheck(request: Request, car: str) -> Response:
    """What is to be looked at again, the longest set first."""
    with garage_of(request).read() as db:
        here, last = the_car(db, car), odometer(db, car)
        todo = record.due(db, car)
        found = {**car_itself(db, here), **places_known(db, car)}
        read_before = meter(db, car, here.distance_unit)
        more: dict[str, Any] = {"wrenches": wrenches(db)}
    found |= {f"recheck/{one.id}": _facts(one, last.reads if last else None) for one in todo}
    more |= {"last": last, "form": EMPTY, "meter": read_before}
    return page(request, "rechecks/list.html", car=here, rechecks=todo, **more, **_shared(found))


@router.get("/cars/{car}/rechecks/new")
def new_recheck(request: Request, car: str, at: str = "", fastener: str = "") -> Response:
    """The empty form; `at` is the line or component it is about, if that is known, `fastener` the group."""
    with garage_of(request).read() as db:
        return page(request, "rechecks/new.html", form=EMPTY, at=at or fastener, record=new_id(), **_beside(db, car))


@router.post("/cars/{car}/rechecks/new")
def add_recheck(request: Request, car: str, form: Form) -> Response:
    """Take the re-check, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        beside = _beside(db, car)
    made = form.record()
    outcome = garage.take(form.entry("recheck", made, {"car": car, "since_at": form["since_at"] or now()}))
    if outcome.outcome == "refused":
        again = form.again(reasons_of([outcome]))
        return page(request, "rechecks/new.html", status=422, form=again, at="", record=made, **beside)
    return see(f"/cars/{car}/rechecks")


@router.get("/rechecks/{recheck}")
def one_recheck(request: Request, recheck: str) -> Response:
    """The check to make, and the next one to set with it."""
    with garage_of(request).read() as db:
        return _do(request, db, recheck, EMPTY)


@router.post("/rechecks/{recheck}")
def do_recheck(request: Request, recheck: str, form: Form) -> Response:
    """Take the check, mark the re-check done, and set the next one if it was ticked: one act."""
    garage = garage_of(request)
    with garage.read() as db:
        here = _the_recheck(db, recheck)
        doubt = odometer_doubt(db, the_car(db, here.car), form["odometer"], form["done_at"])
        asks = {"odometer": doubt} if doubt and "odometer" not in form.sure else {}
        held = _torque_of(db, here)
        asks |= doubts_of(held or NO_TORQUE, form, wrenches(db), "fastener" if here.fastener else "joint")
        reasons: dict[str, str] = {}
    if not asks:
        try:
            garage.take_all(_entries(form, here))
        except RefusedError as refused:
            reasons = reasons_of(refused.outcomes[:1])
        else:
            return see(f"/cars/{here.car}/rechecks")
    with garage.read() as db:
        return _do(request, db, recheck, form.again(reasons, asks))


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


def _do(request: Request, db: Connection, recheck: str, form: Filled) -> Response:
    here = _the_recheck(db, recheck)
    last, car = odometer(db, here.car), the_car(db, here.car)
    found = {**car_itself(db, car), f"recheck/{here.id}": _facts(here, last.reads if last else None)}
    found |= known(db, "check", recheck=recheck)
    status = 422 if form.errors or form.asks else 200
    facts = Facts(f"recheck/{here.id}", found)
    more = {"recheck": here, "facts": facts, "last": last, "car": car, "form": form}
    more["meter"] = meter(db, car.id, car.distance_unit)
    held = _torque_of(db, here)
    more |= {"torque": held, "ask": ask_of(held) if held else None, "recheck_nothing": NO_TORQUE}
    more["wrenches"] = wrenches(db)
    return page(request, "rechecks/show.html", status=status, **_shared(found) | more)


def _torque_of(db: Connection, one: RecheckRow) -> Joint | FastenerRow | None:
    """The joint or group of fasteners it is about, whose torque a check is held to."""
    if one.fastener:
        return fastener(db, one.fastener)
    return joint(db, one.joint) if one.joint else None


def _facts(one: RecheckRow, reads: float | None) -> dict[str, Value]:
    about: dict[str, Value] = {name: getattr(one, name) for name in (*_ABOUT, "note")}
    return recheck_known(one, reads) | {name: value for name, value in about.items() if value is not None}


def _shared(found: Known) -> dict[str, Any]:
    return {
        "known": found,
        "follows": OF_RECHECKS,
        "k": Laid(found),
        "slots": Slots(),
        "units": UNITS,
        "SOON": SOON,
        "facts_of": Facts,
    }


def _entries(form: Posted, recheck: RecheckRow) -> Iterator[Entry]:
    named: dict[str, Value] = {name: getattr(recheck, name) for name in _ABOUT}
    aim: dict[str, Value] = {"what": None if any(named.values()) else recheck.what}
    done_at = form["done_at"] or now()
    about: dict[str, Value] = {"car": recheck.car, "recheck": recheck.id, "done_at": done_at, "void_reason": None}
    about |= named | aim
    if not form["torque_value"].strip():
        about |= {"torque_value": None, "torque_unit": None}  # a unit without a figure says nothing
    # Done again after it was called back, it is the same check that is made.
    yield form.entry("check", f"{recheck.id}.done", about)
    yield form.make("recheck", recheck.id, {"done_at": done_at})
    if form["next"]:
        limits: dict[str, Value] = {name: form[name] for name in ("after_heat_cycles", "after_distance", "after_days")}
        since: dict[str, Value] = {"since_at": done_at, "since_odometer": form["odometer"]}
        kept: dict[str, Value] = {"car": recheck.car, "what": recheck.what}
        kept |= {name: True for name in ("after_event", "after_job") if getattr(recheck, name)}
        yield form.make("recheck", f"{recheck.id}.next", kept | named | since | limits)


def _beside(db: Connection, car: str) -> dict[str, Any]:
    groups = [(one.id, one.name) for one in fasteners_of(db, car)]
    return {"car": the_car(db, car), "last": odometer(db, car), "known": {}, "fasteners": groups, **choices_of(db, car)}


def _the_recheck(db: Connection, recheck: str) -> RecheckRow:
    found = record.recheck(db, recheck)
    if found is None:
        raise HTTPException(404, "There is no such re-check.")
    return found
