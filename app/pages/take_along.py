"""Taking a car along: which of its pages a phone keeps, and the page where that is chosen."""

from collections.abc import Iterator
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from app.airpath.readings import READINGS
from app.pages import words
from app.pages.compare import address_of
from app.pages.job_card import forms_mark
from app.pages.kept_for_good import kept_at
from app.pages.release import release
from app.pages.shell import asset, garage_of, page
from app.pages.ticket_forms import forms_of
from app.pages.ticket_model import car_model
from app.pages.which import the_car
from app.pages.workings import WORKINGS
from app.records.baselines import baselines
from app.records.cars import cars
from app.records.compare import to_compare
from app.records.drift import drifting
from app.records.jobs import nothing_yet
from app.records.take_along import KeptRecord, last_entries, records_to_keep

router = APIRouter()

# Pages of a car beside those of its records: what comes after /cars/{car}, its name, and where it is listed.
# What the person may want to do next comes first: a phone may be carried off while it still fetches.
_FIRST = (
    ("", "The car", "car"),
    ("/jobs/blank", "", ""),
    ("/tickets/blank", "", ""),
    ("/jobs/new", "Open a job", "do"),
    ("/tickets/new", "Report a fault", "do"),
    ("/readings/new", "Take a reading", "do"),
    *((f"/readings/new/{what}", "", "") for what in READINGS),
    ("/stopgaps/new", "Put on a stopgap", "do"),
    ("/drives/new", "Log a drive", "do"),
    ("/air-path", "Air path", "look"),
    ("/touched", "What was touched", "look"),
    ("/build-sheet", "Build sheet", "look"),
    ("/boost-target", "Boost target", "look"),
    ("/hoses", "Hoses", "look"),
    ("/hoses/list", "", ""),
    ("/compare", "Compare parts", "look"),
    ("/parts", "Parts", "look"),
    ("/parts/new", "Write down a part", "do"),
    ("/plan", "Plan", "look"),
    ("/stages/new", "", ""),
    ("/money", "Money", "look"),
    ("/chart", "Fault-finding chart", "look"),
    ("/hole", "How big is the hole?", "do"),
    ("/figures", "", ""),
    ("/experience", "Experience", "look"),
    ("/own-suspects/new", "", ""),
    ("/overrules/new", "", ""),
    ("/jobs", "Jobs", "look"),
    ("/tickets", "Tickets", "look"),
    ("/readings", "Readings", "look"),
    ("/stopgaps", "Stopgaps", "look"),
    ("/rechecks", "Re-checks", "look"),
    ("/rechecks/new", "", ""),
    ("/events", "Events", "look"),
    ("/events/new", "", ""),
    ("/events/blank", "", ""),
    ("/fasteners", "Fasteners", "look"),
    ("/fasteners/new", "", ""),
    ("/musts", "Own list before events", "look"),
    ("/hold-tests/new", "Time a hold test", "do"),
    ("/hold-tests", "Hold tests", "look"),
)
#: Pages of no car in particular.
_ANYWHERE: tuple[str, ...] = (
    "/cars",
    "/tools",
    "/take-along",
    "/waiting",
    "/away",
    "/wrenches",
    "/wrenches/new",
    "/workings",
    "/find",
    "/scan",
)
_ANYWHERE += tuple(f"/workings/{name}" for name in WORKINGS)
#: Scripts and style sheets of a few of these pages alone: kept with a car, as they are of no use without one.
_RUN_ON = (
    *("bay/hole.js", "bay/hole-leak.js", "bay/hold-test.js", "bay/hold-decay.js", "bay/workings.js"),
    *("hold-test.css", "charts.css", "compare.css", "drift.css", "fit.css", "hoses.css", "plan.css", "workings.css"),
)
#: Further pages of a record; {id} is the record's.
_MORE = {
    "line": ("/lines/{id}/replace",),
    "part": ("/parts/{id}/fit",),
    "stopgap": ("/stopgaps/{id}/substitutes",),
}
#: Pages that show the parts of the car and nothing that was done to it.
_FACTS = {"joint": ("/joints/{id}/edit",)}
_GROUP = {
    "job": "jobs",
    "ticket": "tickets",
    "line": "lines",
    "stopgap": "stopgaps",
    "recheck": "rechecks",
    "event": "look",
}

Page = dict[str, str]


@router.get("/take-along")
def choose(request: Request) -> Response:
    """The cars, to be taken along or not, how much of the phone that takes, and how to get to the home screen."""
    with garage_of(request).read() as db:
        return page(request, "take_along/choose.html", cars=cars(db))


@router.get("/cars/{car_id}/take-along.json")
def pages_to_keep(request: Request, car_id: str) -> Response:
    """The pages of a car that a phone keeps, each with a mark: the page is the same for as long as its mark is."""
    with garage_of(request).read() as db:
        car, records, (last, fact) = the_car(db, car_id), records_to_keep(db, car_id), last_entries(db)
        places, drifts = to_compare(db, car_id), drifting(db, car_id).values()
        model, of_tickets = car_model(db, car), forms_of(car, baselines(db, car_id))
    of_jobs = forms_mark(nothing_yet("", car, ""))
    # Days are in words ("yesterday"), and gloves make a page another.
    here = f"{release()}.{words.today():%y%m%d}.{request.cookies.get('gloves') == 'on':d}"
    pages = [
        # Jobs and tickets are of little use without these.
        _page(kept_at(car.id, "job-forms", of_jobs), of_jobs),
        _page(of_tickets.address, of_tickets.mark),
        _page(model.address, model.mark),
        *_of_car(car.id, f"{here}.{last}"),
        # They bear a mark of their own; the release keeps them together.
        *(_page(asset(name), here) for name in _RUN_ON),
        *(_page(address_of(car.id, one), f"{here}.{last}") for one in places),
        *(_page(one.address, f"{here}.{last}", f"{one.last.label}: how it drifts", "look") for one in drifts),
        *_of_records(records, f"{here}.{last}", f"{here}.f{fact}"),
    ]
    at = request.scope["state"]["came_at"]
    told: dict[str, Any] = {"car": car.id, "name": car.name, "as_of": at, "release": release(), "pages": pages}
    return JSONResponse(told, headers={"cache-control": "no-store"})


def _of_car(car: str, mark: str) -> Iterator[Page]:
    for path, name, group in _FIRST:
        yield _page(f"/cars/{car}{path}", mark, name, group)
    for path in _ANYWHERE:
        yield _page(path, mark)


def _of_records(records: list[KeptRecord], mark: str, fact_mark: str) -> Iterator[Page]:
    for one in records:
        if one.kind != "joint":
            group = f"{'past-' if one.past else ''}{_GROUP.get(one.kind, '')}" if one.kind in _GROUP else ""
            yield _page(f"/{one.kind.replace('_', '-')}s/{one.id}", mark, one.name, group)
    for further, same_while in ((_MORE, mark), (_FACTS, fact_mark)):
        for one in records:
            for address in further.get(one.kind, ()):
                yield _page(address.format(id=one.id), same_while)


def _page(address: str, mark: str, name: str = "", group: str = "") -> Page:
    return {"address": address, "mark": mark, "name": name, "group": group}
