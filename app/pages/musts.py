"""A car's own list of what has to be true before an event: begun from what is common, added to, struck out."""

from dataclasses import asdict

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.forms import EMPTY, Filled, Form
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.records import musts as record
from app.records.car_known import filled
from app.records.entry import Entry, Value
from app.records.events import KIND_LABEL

router = APIRouter()

#: Before which events something has to be true.
BEFORE = {"any": "Any event", **{kind: label.capitalize() for kind, label in KIND_LABEL.items()}}
_STRUCK_OUT = "Struck out"


@router.get("/cars/{car_id}/musts")
def every(request: Request, car_id: str) -> Response:
    """The list, and what it may be begun with."""
    return _page(request, car_id, EMPTY)


@router.post("/cars/{car_id}/musts")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Add one thing."""
    with garage_of(request).read() as db:
        the_car(db, car_id)
    return _take(request, car_id, form, form.entry("must", form.record(), {"car": car_id}, only=("what", "before")))


@router.post("/cars/{car_id}/musts/start")
def begin(request: Request, car_id: str, form: Form) -> Response:
    """Add what is common: the one thing named in `key`, or all of it."""
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
    wanted = {key: what for key, what in record.START.items() if form["key"] in {key, ""}}
    for key, what in wanted.items():
        fields: dict[str, Value] = {"car": car_id, "before": "any", "what": what, "void_reason": None}
        garage.take(form.make("must", record.start_id(car_id, key), fields))
    return see(f"/events/{form['event']}" if form["event"] else f"/cars/{car_id}/musts")


@router.post("/cars/{car_id}/musts/{must_id}")
def change(request: Request, car_id: str, must_id: str, form: Form) -> Response:
    """Take what was changed of one thing."""
    _look_for(request, car_id, must_id)
    return _take(request, car_id, form, form.entry("must", must_id, only=("what", "before")))


@router.post("/cars/{car_id}/musts/{must_id}/off")
def strike_out(request: Request, car_id: str, must_id: str, form: Form) -> Response:
    """Strike it out: it is asked before no event any more."""
    _look_for(request, car_id, must_id)
    return _take(request, car_id, form, form.make("must", must_id, {"void_reason": _STRUCK_OUT}))


@router.post("/cars/{car_id}/musts/{must_id}/on")
def put_back(request: Request, car_id: str, must_id: str, form: Form) -> Response:
    """Undo a striking out."""
    _look_for(request, car_id, must_id)
    return _take(request, car_id, form, form.make("must", must_id, {"void_reason": None}))


def _look_for(request: Request, car_id: str, must_id: str) -> None:
    with garage_of(request).read() as db:
        if must_id not in {one.id for one in record.musts(db, car_id)}:
            raise HTTPException(404, "This is not on the car's list.")


def _take(request: Request, car_id: str, form: Form, entry: Entry) -> Response:
    outcome = garage_of(request).take(entry)
    if outcome.outcome == "refused":
        return _page(request, car_id, form.again(outcome.reasons))
    return see(f"/cars/{car_id}/musts")


def _page(request: Request, car_id: str, form: Filled) -> Response:
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), record.musts(db, car_id)
    known = {f"must/{one.id}": filled([("car", car_id), *asdict(one).items()]) for one in found}
    labels = {"before": BEFORE}
    return page(
        request,
        "musts/list.html",
        status=422 if form.errors else 200,
        form=form,
        car=car,
        musts=found,
        start=[(key, record.start_id(car_id, key), what) for key, what in record.START.items()],
        before=BEFORE,
        known=known,
        labels=labels,
        laid=Laid(known, labels),
        page_id=new_id(),
    )
