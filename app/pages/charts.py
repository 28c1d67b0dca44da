"""The chart of a car, or of a layout: on the screen to be read, and on one sheet of paper to take to the car."""

from datetime import date, datetime, time, timedelta
from functools import cache

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.airpath.layouts import StarterLayout, load
from app.airpath.words import Layout
from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.pages.words import local, percent, today
from app.records.charts import chart_of_car, chart_of_layout
from app.records.fields import moment_text
from app.settings import shipped
from app.triage.chart.sheet import WITHOUT_CHECK
from app.triage.chart.words import work_words

router = APIRouter()

#: What the template says of a chart's places.
_WORDS = {"without_check": WITHOUT_CHECK, "takes": work_words, "percent": percent}


@router.get("/cars/{car_id}/chart")
def of_car(request: Request, car_id: str) -> Response:
    """The questions the model would ask for this car today."""
    day = today()
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        view = chart_of_car(db, car, _end_of(day))
    since = None if view.since is None else on_paper(local(view.since).date())
    return page(request, "charts/car.html", car=car, view=view, day=on_paper(day), since=since, words=_WORDS)


@router.get("/layouts/{layout}/chart")
def of_layout(request: Request, layout: str) -> Response:
    """The same for any car of a starter layout, of which nothing else is known."""
    if layout not in set(Layout):
        raise HTTPException(404, "There is no such layout.")
    starter = _starter(Layout(layout))
    view = chart_of_layout(starter)
    return page(request, "charts/layout.html", starter=starter, view=view, day=on_paper(today()), words=_WORDS)


def on_paper(day: date) -> str:
    """A day as it stands on a sheet that is still read next month: 18 Apr 2026, never "today"."""
    return f"{day.day} {day:%b %Y}"


def _end_of(day: date) -> str:
    # One moment for the whole day, so that the chart of this morning and of tonight are the same chart.
    return moment_text(datetime.combine(day + timedelta(days=1), time()).astimezone() - timedelta(milliseconds=1))


@cache
def _starter(layout: Layout) -> StarterLayout:
    return load(layout, shipped("seed_data") / "layouts")
