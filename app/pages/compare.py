"""Candidates for one position of a car, two to five side by side, with what the air would do in each."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Annotated, Any, NamedTuple
from urllib.parse import quote_plus

from fastapi import APIRouter, Query, Request
from pydantic import ValidationError
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.candidates import SAFE_MARGIN, Assumed, Carries, carries, usual
from app.airpath.readings import ReadingKind
from app.pages.beside import MOST, Bench, arrives, warnings
from app.pages.forms import Filled
from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.pages.words import plain
from app.records.baselines import baselines
from app.records.cars import CarRow
from app.records.compare import STATES, Aim, Open, PartRow, aim_of, parts_at, position, to_compare
from app.records.fields import Fields, Number, key, number
from app.records.kept import kept
from app.records.refusals import plain as sentences
from app.workings.atmosphere import standard_pressure_kpa

router = APIRouter()

_AIR = ((Carries.INTAKE, "Sucked in"), (Carries.CHARGE, "Pushed"), (Carries.NONE, "Hardly any"))


class Asked(Fields):
    """What may be changed of the assumptions; an empty box leaves the one there is."""

    power_kw: Number | None = number(default=None, gt=0, le=2000)
    fuel_g_kwh: Number | None = number(default=None, ge=100, le=1000)
    air_fuel: Number | None = number(default=None, ge=5, le=60)
    pressure_kpa: Number | None = number(default=None, ge=20, le=700)
    air_c: Number | None = number(default=None, ge=-40, le=300)
    roughness_um: Number | None = number(default=None, ge=0, le=500)
    suction_kpa: Number | None = number(default=None, gt=0, le=90)
    stiffness_mpa: Number | None = number(default=None, gt=0, le=100_000)
    air: Carries | None = key(default=None)


#: What of an address says what is assumed; `was` is the air that went through it before.
_BOXES = {*Asked.model_fields, "was"}


@router.get("/cars/{car_id}/compare")
def show(
    request: Request,
    car_id: str,
    at: str = "",
    kind: str = "",
    part: Annotated[list[str], Query(max_length=50)] = [],  # noqa: B006  # FastAPI copies it
) -> Response:
    """The candidates for the position `at`; without one, the positions there are candidates for."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        if not at.strip():
            places = [(one, address_of(car_id, one)) for one in to_compare(db, car_id)]
            return page(request, "compare/choose.html", car=car, places=places)
        boxes = tuple((name, value) for name, value in request.query_params.items() if name in _BOXES)
        more = _beside(db, car, Said(at.strip(), kind, tuple(part), boxes))
    return page(request, "compare/show.html", status=422 if more["form"].errors else 200, car=car, **more)


class Said(NamedTuple):
    """What an address says: the place, the kind and the parts chosen there, and the boxes of what is assumed."""

    at: str
    kind: str
    chosen: tuple[str, ...]
    boxes: tuple[tuple[str, str], ...]


@kept
def _beside(db: Connection, car: CarRow, said: Said) -> dict[str, Any]:
    query, place = dict(said.boxes), position(db, car.id, said.at)
    parts = parts_at(db, car.id, place)
    aim, boost = aim_of(db, car.id), _boost_kpa(db, car.id)
    asked, errors = _asked(query)
    air = asked.air or carries(place.air_role)
    assumed = _assumed(asked, car, air, aim, boost)
    candidates, kind, kinds = _of_one_kind(parts, said.kind)
    shown = [one for one in candidates if one.id in said.chosen][:MOST] or candidates[:MOST]
    bench = Bench(place, air, assumed, [one.candidate for one in candidates])
    columns = bench.columns(shown, next((one for one in parts if one.state == "fitted" and one.kind == kind), None))
    more: dict[str, Any] = {"place": place, "candidates": candidates, "shown": shown, "kind": kind, "kinds": kinds}
    more |= {"columns": columns, "apart": bench.apart(columns), "warnings": warnings(columns)}
    more |= {"air": air, "assumed": assumed, "aim": aim}
    more |= {"boost": boost, "form": _form(query, air, assumed, errors), "airs": _AIR}
    more |= {"arrives": arrives, "most": MOST, "SAFE": SAFE_MARGIN}
    return more


def address_of(car_id: str, place: Open) -> str:
    """Where the candidates for a place are held side by side.

    Written as a browser writes a query, for the worker finds a kept page by its address to the letter.
    """
    at = quote_plus(place.at, safe="*").replace("~", "%7E")
    return f"/cars/{car_id}/compare?at={at}&kind={place.kind}"


def _asked(query: Mapping[str, str]) -> tuple[Asked, Mapping[str, str]]:
    given = {name: query[name] for name in Asked.model_fields if name in query and name != "void_reason"}
    if query.get("was", query.get("air")) != query.get("air"):
        # Other air goes through it: the pressure and heat that stood in the boxes were those of the air before.
        given = {name: value for name, value in given.items() if name not in {"pressure_kpa", "air_c"}}
    try:
        return Asked.model_validate(given), {}
    except ValidationError as wrong:
        errors = sentences(wrong)
        return Asked.model_validate({name: value for name, value in given.items() if name not in errors}), errors


def _form(query: Mapping[str, str], air: Carries, assumed: Assumed, errors: Mapping[str, str]) -> Filled:
    values = {name: plain(value) for name, value in asdict(assumed).items()} | {"air": air.value}
    return Filled(values | {name: query[name] for name in errors if name in query}, errors)


def _assumed(asked: Asked, car: CarRow, air: Carries, aim: Aim | None, boost: float | None) -> Assumed:
    ambient = standard_pressure_kpa(car.altitude_m or 0.0)
    first = usual(air, diesel=car.fuel == "diesel", ambient_kpa=ambient, boost_kpa=boost)
    changed = {name: value for name, value in asked.model_dump().items() if value is not None and name != "air"}
    changed.setdefault("power_kw", aim.power_kw if aim else None)
    # What the turbocharger sucks is missing in the pipe before it.
    if air is Carries.INTAKE and "suction_kpa" in changed and "pressure_kpa" not in changed:
        changed["pressure_kpa"] = round(max(ambient - changed["suction_kpa"], 1.0), 1)
    return replace(first, **changed)


def _boost_kpa(db: Connection, car: str) -> float | None:
    """The car's own peak boost, kPa absolute, as its baseline has it."""
    found = (one.usual.centre for one in baselines(db, car).values() if one.what is ReadingKind.PEAK_BOOST)
    return next(found, None)


def _of_one_kind(parts: Sequence[PartRow], kind: str) -> tuple[list[PartRow], str, list[str]]:
    """The candidates of one kind (a clamp is no choice against a hose), the kind, and the kinds there are."""
    open_ones = [one for one in parts if one.state in STATES]
    kinds = [name for name, _ in Counter(one.kind for one in open_ones).most_common()]
    if "hose" in kinds:
        kinds.sort(key=lambda name: name != "hose")
    kind = kind if kind in kinds else next(iter(kinds), "hose")
    return [one for one in open_ones if one.kind == kind], kind, kinds
