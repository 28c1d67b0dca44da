"""The hoses of a car: what to replace next and why, what buying it takes, and all of it as a table."""

from collections.abc import Iterator
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from pydantic import ValidationError
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath import shopping
from app.airpath.wear import SERVICE_YEARS, TYPICAL_C, Heat, When, service_years
from app.airpath.words import LineState
from app.pages.charts import on_paper
from app.pages.forms import Filled
from app.pages.shell import garage_of, page
from app.pages.spreadsheet import sheet
from app.pages.which import the_car
from app.pages.words import plain, today
from app.records.car_known import cars_of_work
from app.records.fields import Fields, Number, number
from app.records.hoses import HoseRow, hoses
from app.records.kept import kept_today
from app.records.refusals import label_of
from app.records.refusals import plain as sentences

router = APIRouter()

WHEN_LABEL = {When.NOW: "now", When.SOON: "soon", When.WATCH: "watch it", When.GOOD: "leave it"}
_MANY = 400  # lines an address may name
_STATES = (LineState.ORIGINAL, LineState.REPLACED, LineState.STOPGAP)
_COLUMNS = (
    *("number", "line", "role", "from", "to", "material", "bore mm", "length mm", "clamp at from", "clamp at to"),
    *("state", "part", "fitted", "fitted at", "distance unit", "age years", "age is at least"),
    *("replace", "why", "new part"),
)


class Asked(Fields):
    """What the shopping list may be asked: how much more than the lines' own length is bought, in per cent."""

    allowance: Number | None = number(default=None, ge=0, le=100)


@router.get("/cars/{car_id}/hoses")
def show(request: Request, car_id: str) -> Response:
    """Every line with its age and state, the next to replace first."""
    with garage_of(request).read() as db:
        car, found, belongs = the_car(db, car_id), hoses(db, car_id, today()), cars_of_work(db)
    counts = [(state, found.count(state)) for state in _STATES if found.count(state)]
    lives = [(material, [service_years(material, heat) for heat in Heat]) for material in SERVICE_YEARS]
    more: dict[str, Any] = {"counts": counts, "lives": lives, "heats": [(heat, TYPICAL_C[heat]) for heat in Heat]}
    more |= {"day": on_paper(today()), "labels_when": WHEN_LABEL, "When": When}
    return page(request, "hoses/show.html", car=car, hoses=found, known=belongs, **more)


@router.get("/cars/{car_id}/hoses/list")
def shopping_list(
    request: Request,
    car_id: str,
    line: Annotated[list[str], Query(max_length=_MANY)] = [],  # noqa: B006  # FastAPI copies it
    allowance: str = "",
) -> Response:
    """What to buy for the lines named; with none named, for those to replace now."""
    asked, form = _asked(allowance)
    with garage_of(request).read() as db:
        car, lists, belongs = the_car(db, car_id), _to_buy(db, car_id, tuple(line), asked), cars_of_work(db)
    more: dict[str, Any] = {"allowance": asked, "named": bool(line), "form": form, "day": on_paper(today())}
    return page(request, "hoses/list.html", status=422 if form.errors else 200, car=car, known=belongs, **lists, **more)


@kept_today
def _to_buy(db: Connection, car_id: str, named: tuple[str, ...], allowance: float) -> dict[str, Any]:
    found = hoses(db, car_id, today(), only=named).rows
    chosen = found if named else [one for one in found if one.when is When.NOW]
    to_buy = [one.to_buy for one in chosen]
    return {
        "chosen": chosen,
        "hose_list": shopping.hoses(to_buy, allowance),
        "clamp_list": shopping.clamps(to_buy),
    }


@router.get("/cars/{car_id}/hoses.csv")
def table(request: Request, car_id: str) -> Response:
    """Every line as a row of a table."""
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), hoses(db, car_id, today())
    return sheet("hoses", _COLUMNS, (list(_cells(one, car.distance_unit)) for one in found.rows))


def _asked(allowance: str) -> tuple[float, Filled]:
    try:
        asked = Asked.model_validate({"allowance": allowance}).allowance
    except ValidationError as wrong:
        return shopping.ALLOWANCE_PERCENT, Filled({"allowance": allowance}, sentences(wrong))
    figure = shopping.ALLOWANCE_PERCENT if asked is None else asked
    return figure, Filled({"allowance": plain(figure)})


def _cells(one: HoseRow, unit: str) -> Iterator[object]:
    line = one.line
    yield from (line.number, line.name, label_of(line.role), line.from_name, line.to_name)
    yield from (line.material and label_of(line.material), line.bore_mm, line.length_mm)
    yield from (hold and label_of(hold) for hold in one.holds)
    yield from (one.state.value, line.part, one.fitted and one.fitted[:10], line.fitted_odometer)
    yield None if line.fitted_odometer is None else unit
    yield from (None, None) if one.age_years is None else (round(one.age_years, 1), one.at_least)
    yield from (WHEN_LABEL[one.when], "; ".join(reason.text for reason in one.verdict.reasons))
    yield one.new_one and one.new_one.name
