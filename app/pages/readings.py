"""Readings: the latest of each, one against its baseline, and the history of one series."""

from collections.abc import Mapping

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.readings import READINGS, Condition, ReadingKind
from app.pages.forms import Form
from app.pages.gauges import Json, numbers
from app.pages.held import held
from app.pages.laid import Laid
from app.pages.shell import garage_of, page, see
from app.pages.which import the_car
from app.records import readings as record
from app.records.baselines import baseline_in
from app.records.boost_targets import boost_target, held_to, over_of, target_id
from app.records.entry import Value
from app.records.kept import kept
from app.records.kinds.reading import series_of
from app.records.known import known as known_of
from app.records.readings import ReadingLine, ReadingRow

router = APIRouter()


@router.get("/cars/{car_id}/readings")
def latest(request: Request, car_id: str) -> Response:
    """Each series there is, with its latest figure, what is usual, and its past."""
    with garage_of(request).read() as db:
        car, (gauges, lines) = the_car(db, car_id), _latest(db, car_id)
        known = known_of(db, "boost_target", id=target_id(car_id))
    return page(request, "readings/list.html", car=car, lines=lines, known=known, gauges=gauges)


@kept
def _latest(db: Connection, car_id: str) -> tuple[Json, list[ReadingLine]]:
    series, target = record.every_series(db, car_id), boost_target(db, car_id)
    lines = [record.line_of(past, usual, over_of(past[-1], target)) for past, usual in series]
    return numbers(db, car_id, series), lines


@router.get("/cars/{car_id}/readings/{kind}")
def past(request: Request, car_id: str, kind: str) -> Response:
    """One series, newest first. What is not said of it is the usual: the first condition of its kind."""
    what = the_kind(kind)
    asked = request.query_params
    condition, series = the_condition(what, asked.get("condition")), series_asked(what, asked)
    number = int(asked["page"]) if asked.get("page", "").isdigit() and len(asked["page"]) < 6 else 1
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        found, more = record.history(db, car_id, series, max(number, 1))
        recent, usual = record.past_of(db, car_id, series), baseline_in(db, car_id, series)
        gauges = numbers(db, car_id, [(recent, usual)]) if recent else {}
    if not found:
        raise HTTPException(404, "There is no such reading on this car yet.")
    known = {f"reading/{one.id}": _marked(one) for one in found}
    return page(
        request,
        "readings/past.html",
        known=known,
        laid=Laid(known),
        gauges=gauges,
        car=car,
        what=what,
        condition=condition,
        readings=[(one, one.placed(usual)) for one in found],
        line=record.line_of(recent, usual),
        chart=record.chart_of(recent[-1].address),
        usual=usual,
        number=number,
        more=more,
    )


@router.get("/readings/{reading_id}")
def show(request: Request, reading_id: str) -> Response:
    """One reading held against its baseline."""
    with garage_of(request).read() as db:
        found = the_reading(db, reading_id)
        car = the_car(db, found.car)
        usual = baseline_in(db, found.car, found.series)
        past = record.past_of(db, found.car, found.series, found.taken_at)
        target = boost_target(db, found.car)
    line = record.line_of(past or [found], usual)
    known = {f"reading/{found.id}": _marked(found)}
    return page(
        request,
        "readings/show.html",
        reading=found,
        car=car,
        line=line,
        held=held(found, usual),
        beside=held_to(found, target),
        known=known,
        l=Laid(known, about=f"reading/{found.id}"),
    )


@router.post("/readings/{reading_id}/healthy")
def mark(request: Request, reading_id: str, form: Form) -> Response:
    """Say whether the car was running right: healthy readings are what its baseline is learned from."""
    garage = garage_of(request)
    with garage.read() as db:
        found = the_reading(db, reading_id)
    outcome = garage.take(form.entry("reading", reading_id, only=("healthy",)))
    if outcome.outcome == "refused":
        raise HTTPException(422, "Answer yes or no.")
    return see(found.address if form["from"] == "list" else f"/readings/{reading_id}")


def _marked(one: ReadingRow) -> dict[str, Value]:
    return {"taken_at": one.taken_at, "healthy": "yes" if one.healthy else "no"}


def the_reading(db: Connection, reading_id: str) -> ReadingRow:
    """The reading of that id. Raises HTTPException 404."""
    found = record.reading(db, reading_id)
    if found is None:
        raise HTTPException(404, "There is no such reading.")
    return found


def series_asked(what: ReadingKind, asked: Mapping[str, str]) -> str:
    """The series an address asks for, as readings.address_of writes it. Raises HTTPException 404."""
    return series_of(what, the_condition(what, asked.get("condition")), asked.get("name"), asked.get("unit", ""))


def the_kind(kind: str) -> ReadingKind:
    """The kind of reading of that key. Raises HTTPException 404."""
    try:
        return ReadingKind(kind)
    except ValueError:
        raise HTTPException(404, "There is no such kind of reading.") from None


def the_condition(what: ReadingKind, condition: str | None) -> Condition:
    """The condition of that key, the kind's usual one if none is given. Raises HTTPException 404."""
    known = READINGS[what].conditions
    found = known[0] if condition is None else next((one for one in known if one == condition), None)
    if found is None:
        raise HTTPException(404, "That reading is not taken under that condition.")
    return found
