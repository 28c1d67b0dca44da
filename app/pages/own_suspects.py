"""A suspect of the fitter's own: added, put right, struck out, put back."""

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import EMPTY, Filled, Form
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records.cars import CarRow
from app.records.experience import KIND_LABEL, LIKELY_LABEL, OwnSuspectRow, own_suspect
from app.triage.case import OF_BOOST

router = APIRouter()

_FIELDS = ("label", "behaves_like", "likely", "note")


@router.get("/cars/{car_id}/own-suspects/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form."""
    return _form(request, Filled({"record": new_id()}), car_id)


@router.post("/cars/{car_id}/own-suspects/new")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Add it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
    outcome = garage.take(form.entry("own_suspect", form.record(), {"car": car_id}, only=_FIELDS))
    if outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), car_id, status=422)
    return see(f"/cars/{car_id}/experience")


@router.get("/own-suspects/{suspect}/edit")
def edit(request: Request, suspect: str) -> Response:
    """What it is, to be put right."""
    with garage_of(request).read() as db:
        found = _the_suspect(db, suspect)
    return _form(request, EMPTY, found.car, found)


@router.post("/own-suspects/{suspect}/edit")
def put_right(request: Request, suspect: str, form: Form) -> Response:
    """Take the corrected fields, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        found = _the_suspect(db, suspect)
    outcome = garage.take(form.entry("own_suspect", suspect, only=_FIELDS))
    if outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), found.car, found, status=422)
    return see(f"/cars/{found.car}/experience")


@router.post("/own-suspects/{suspect}/off")
def strike_out(request: Request, suspect: str, form: Form) -> Response:
    """It is suspected no longer."""
    return _set(request, suspect, form, "Suspected no longer")


@router.post("/own-suspects/{suspect}/on")
def put_back(request: Request, suspect: str, form: Form) -> Response:
    """Undo that."""
    return _set(request, suspect, form, None)


def kinds_on(car: CarRow) -> list[tuple[str, str]]:
    """What a fault on this car can be of, to choose from: pairs of the table's key and its label."""
    absent = frozenset[str]() if car.turbocharged else {str(one) for one in OF_BOOST} | {"charge_small", "power_limit"}
    return sorted(((key, label) for key, label in KIND_LABEL.items() if key not in absent), key=lambda one: one[1])


def _set(request: Request, suspect: str, form: Form, void_reason: str | None) -> Response:
    garage = garage_of(request)
    with garage.read() as db:
        found = _the_suspect(db, suspect)
    garage.take(form.make("own_suspect", suspect, {"void_reason": void_reason}))
    return see(f"/cars/{found.car}/experience")


def _the_suspect(db: Connection, suspect: str) -> OwnSuspectRow:
    found = own_suspect(db, suspect)
    if found is None:
        raise HTTPException(404, "There is no such suspect.")
    return found


def _form(
    request: Request, form: Filled, car_id: str, suspect: OwnSuspectRow | None = None, *, status: int = 200
) -> Response:
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
    likely = list(LIKELY_LABEL.items())
    return page(
        request,
        "experience/own_suspect.html",
        status=status,
        form=form,
        car=car,
        suspect=suspect,
        kinds=kinds_on(car),
        likely=likely,
        known={},
    )
