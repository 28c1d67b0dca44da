"""What is usual for a car: as its owner states it, or learned from the readings marked healthy."""

from dataclasses import asdict

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.airpath.readings import READINGS, Condition, ReadingKind
from app.pages.forms import EMPTY, Filled, Form
from app.pages.laid import Laid
from app.pages.reading_forms import BAROMETERS, choices, unit_label
from app.pages.readings import the_condition, the_kind
from app.pages.shell import garage_of, page, see
from app.pages.which import the_car
from app.records import baselines as record
from app.records.kinds.reading import series_of
from app.records.known import Known
from app.records.shown import label_of_series

router = APIRouter()

LABELS = {"unit": {unit: unit_label(unit) for kind in READINGS.values() for unit in kind.units}}

Which = tuple[ReadingKind, Condition]


@router.get("/cars/{car_id}/baselines/{kind}/{condition}")
def show(request: Request, car_id: str, kind: str, condition: str) -> Response:
    """What counts now, and the form to state it."""
    return _page(request, EMPTY, car_id, _which(kind, condition))


@router.post("/cars/{car_id}/baselines/{kind}/{condition}")
def state(request: Request, car_id: str, kind: str, condition: str, form: Form) -> Response:
    """State it: what is typed wins over what is learned."""
    what, under = _which(kind, condition)
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
    fixed = {"car": car_id, "what": what, "condition": under, "void_reason": None}
    outcome = garage.take(form.entry("baseline", f"{car_id}.{what}.{under}", fixed))
    if outcome.outcome == "refused":
        return _page(request, form.again(outcome.reasons), car_id, (what, under), 422)
    return see(f"/cars/{car_id}/baselines/{what}/{under}")


@router.post("/cars/{car_id}/baselines/{kind}/{condition}/learned")
def learn_instead(request: Request, car_id: str, kind: str, condition: str, form: Form) -> Response:
    """Strike out what was stated, so that what is learned counts again."""
    what, under = _which(kind, condition)
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
        stated = record.baseline_of(db, car_id, what, under)
    if stated is not None and stated.typed:
        reason = {"void_reason": "Learned from healthy readings instead."}
        garage.take(form.make("baseline", f"{car_id}.{what}.{under}", reason))
    return see(f"/cars/{car_id}/baselines/{what}/{under}")


def _which(kind: str, condition: str) -> Which:
    what = the_kind(kind)
    if what is ReadingKind.FREE:
        raise HTTPException(404, "What is usual for a reading of your own is learned from those marked healthy.")
    return what, the_condition(what, condition)


def _page(request: Request, form: Filled, car_id: str, which: Which, status: int = 200) -> Response:
    what, condition = which
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        learned = record.learned_in(db, car_id, series_of(what, condition))
        stated = record.stated(db, car_id, what, condition)
        offered = choices(db, car_id, what)
    ref = f"baseline/{car_id}.{what}.{condition}"
    stands: Known = (
        {ref: {name: value for name, value in asdict(stated).items() if value is not None}} if stated else {}
    )
    return page(
        request,
        "readings/baseline.html",
        status=status,
        form=form,
        car=car,
        what=what,
        condition=condition,
        label=label_of_series(what, condition),
        known=stands,
        labels=LABELS,
        l=Laid(stands, LABELS, about=ref),
        learned=learned,
        stated=stated,
        offered=offered,
        barometers=BAROMETERS,
    )
