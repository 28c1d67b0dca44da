"""The cars of this garage, and adding one from a starter layout."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.airpath import layouts
from app.airpath.words import Layout
from app.pages.forms import EMPTY, Form, Posted, reasons_of
from app.pages.shell import garage_of, new_id, page, see
from app.records import cars as record
from app.records.car_known import cars_of_work
from app.records.gone import struck_cars
from app.records.logbook import RefusedError
from app.records.starting import car_entries
from app.settings import shipped

router = APIRouter()


@router.get("/")
@router.get("/cars")
def every_car(request: Request) -> Response:
    """The way in: every car, or the first one to be added."""
    with garage_of(request).read() as db:
        cars, struck, belongs = record.cars(db), struck_cars(db), cars_of_work(db)
    return page(request, "cars/list.html", cars=cars, struck=struck, known=belongs)


@router.get("/cars/new")
def new_car(request: Request) -> Response:
    """The empty form."""
    return page(request, "cars/new.html", form=EMPTY, layouts=_layouts(), record=new_id())


@router.post("/cars/new")
def add_car(request: Request, form: Form) -> Response:
    """Add the car with all the lines and components of its layout, or show the form again."""
    starter = _chosen(form)
    if starter is None:
        wrong = {"layout": "Choose the one most like the car; every line can be changed afterwards."}
        again = form.again(wrong if form["name"].strip() else wrong | {"name": "This is needed."})
        return page(request, "cars/new.html", status=422, form=again, layouts=_layouts(), record=form.record())
    car = form.record()
    own = {name: form[name] for name in ("name", "about", "distance_unit", "altitude_m")}
    try:
        garage_of(request).take_all(car_entries(form.make, car, starter, own))
    except RefusedError as refused:
        again = form.again(reasons_of(refused.outcomes[:1]))
        return page(request, "cars/new.html", status=422, form=again, layouts=_layouts(), record=car)
    return see(f"/cars/{car}")


def _chosen(form: Posted) -> layouts.StarterLayout | None:
    try:
        return layouts.load(Layout(form["layout"]), shipped("seed_data") / "layouts")
    except ValueError:
        return None


def _layouts() -> list[layouts.StarterLayout]:
    return [layouts.load(one, shipped("seed_data") / "layouts") for one in Layout]
