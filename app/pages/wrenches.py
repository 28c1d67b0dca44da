"""The garage's torque wrenches: what there is, its settings, and when it was last calibrated."""

from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.changes import changes
from app.pages.follows import OF_WRENCHES
from app.pages.forms import EMPTY, Filled, Form
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.records import wrenches as record
from app.records.car_known import filled
from app.records.known import Known
from app.records.wrenches import CALIBRATED_DAYS, CALIBRATED_USES, WrenchRow
from app.workings.units import TorqueUnit

router = APIRouter()

UNITS = [(unit.value, unit.label) for unit in TorqueUnit]
LABELS = {"unit": dict(UNITS)}
_FIELDS = ("name", "smallest", "largest", "unit", "lever_mm", "calibrated_on", "retired_on", "note", "uses")


@router.get("/wrenches")
def every(request: Request) -> Response:
    """Every torque wrench there is, and those that are gone."""
    with garage_of(request).read() as db:
        found = record.every_wrench(db)
    known = wrenches_known(found)
    more: dict[str, Any] = {"labels": LABELS, "follows": OF_WRENCHES, "laid": Laid(_with_ages(found, known), LABELS)}
    return page(request, "wrenches/list.html", wrenches=found, known=known, **more, **_limits())


@router.get("/wrenches/new")
def blank(request: Request) -> Response:
    """The empty form."""
    return _form(request, Filled({"record": new_id()}), None)


@router.post("/wrenches/new")
def add(request: Request, form: Form) -> Response:
    """Take it, or show the form again."""
    reasons = _crossed(form["smallest"], form["largest"])
    outcome = None if reasons else garage_of(request).take(form.entry("wrench", form.record()))
    if outcome is None or outcome.outcome == "refused":
        return _form(request, form.again(reasons or (outcome.reasons if outcome else {})), None, 422)
    return see("/wrenches")


@router.get("/wrenches/{wrench_id}")
def edit(request: Request, wrench_id: str) -> Response:
    """The form with what is known of it."""
    with garage_of(request).read() as db:
        found = the_wrench(db, wrench_id)
    return _form(request, EMPTY, found)


@router.post("/wrenches/{wrench_id}")
def change(request: Request, wrench_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        found = the_wrench(db, wrench_id)
    reasons = _crossed(form["smallest"], form["largest"])
    fields = changes(form, "wrench", asdict(found))
    if fields and not reasons:
        reasons = dict(garage.take(form.make("wrench", wrench_id, fields)).reasons)
    if reasons:
        return _form(request, form.again(reasons), found, 422)
    return see("/wrenches")


def the_wrench(db: Connection, wrench_id: str) -> WrenchRow:
    """The wrench of that id. Raises HTTPException 404."""
    found = record.wrench(db, wrench_id)
    if found is None:
        raise HTTPException(404, "There is no such torque wrench.")
    return found


def wrenches_known(found: list[WrenchRow]) -> Known:
    """Wrenches as a page hands them to the phone."""
    return {f"wrench/{one.id}": filled((name, getattr(one, name)) for name in _FIELDS) for one in found}


def _with_ages(found: list[WrenchRow], known: Known) -> Known:
    """The same with what the phone works out itself (follows.OF_WRENCHES)."""
    ages = {f"wrench/{one.id}": age_days(one) for one in found}
    return {ref: fields | ({"age_days": ages[ref]} if ages[ref] is not None else {}) for ref, fields in known.items()}


def age_days(one: WrenchRow) -> int | None:
    """How many days ago it was calibrated; None if that is not known."""
    return None if one.calibrated_on is None else record.days_since(one.calibrated_on)


def _crossed(smallest: str, largest: str) -> dict[str, str]:
    """What is wrong with two settings as typed; what is no figure is left for the door."""
    try:
        low, high = (float(one.replace(",", ".")) for one in (smallest, largest))
    except ValueError:
        return {}
    return {"largest": "The largest setting is above the smallest."} if low >= high else {}


def _limits() -> dict[str, Any]:
    return {"OLD": CALIBRATED_DAYS, "USES": CALIBRATED_USES}


def _form(request: Request, form: Filled, found: WrenchRow | None, status: int = 200) -> Response:
    known = {} if found is None else wrenches_known([found])
    more = {"units": UNITS, "known": known} | _limits()
    return page(request, "wrenches/form.html", status=status, form=form, wrench=found, **more)
