"""How big the hole is: four ways to measure a leak, answered at once, and put on an open ticket by one tap."""

from collections.abc import Mapping

from fastapi import APIRouter, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.readings import READINGS, ReadingKind
from app.pages.hole_answers import answer
from app.pages.hole_words import BOXES, SECONDS, WAYS, About, for_phone
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page
from app.pages.which import the_car
from app.pages.words import plain
from app.records.baselines import BaselineView, baselines
from app.records.car_figures import FiguresRow, bores_of, figures_of
from app.records.car_known import filled
from app.records.cars import CarRow
from app.records.kinds.reading import series_of
from app.records.known import Known
from app.records.readings import ReadingRow, last_of
from app.records.si import ambient_kpa
from app.records.tickets import unproved
from app.triage.from_readings import LEAST_TRIM
from app.triage.signs import EYES_ON_THE_ROAD, RUNNING_ENGINE
from app.workings.spread import EDGE_SPREADS
from app.workings.units import MassFlowUnit, PressureUnit

router = APIRouter()

_PRESSURE_UNITS = tuple(unit.value for unit in PressureUnit)
_FLOW_UNITS = tuple(unit.value for unit in MassFlowUnit)
_HOLD = (
    "Engine off and cold. Pressure only from a regulator, never above what the makers of the parts allow: ends "
    "and caps fly off. Close it off with pinned caps, stand aside, let the pressure out before you open anything."
)
CAUTIONS = {"trims": RUNNING_ENGINE, "vacuum": RUNNING_ENGINE, "hold": _HOLD, "boost": EYES_ON_THE_ROAD}

Typed = dict[str, str]


@router.get("/cars/{car_id}/hole")
def show(request: Request, car_id: str) -> Response:
    """The ways, with what the record has in their boxes or what the address says, and the answer to that."""
    asked = request.query_params
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        boxes = _known(db, car)
        about = _about(db, car)
        tickets = [one for one in unproved(db, car_id) if one.stands == "open"]
    facts: Known = {f"ticket/{one.id}": filled([("car", car.id), ("what", one.what)]) for one in tickets}
    way = asked["way"] if asked.get("way") in WAYS else next((way for way in WAYS if not about.cant(way)), "hold")
    if any(name in asked for name in BOXES[way]):
        boxes[way] = {name: asked.get(name, "") for name in BOXES[way]}
    return page(
        request,
        "cars/hole.html",
        car=car,
        way=way,
        ways=WAYS,
        boxes=boxes,
        answer=answer(way, boxes[way], about),
        numbers=for_phone(about),
        cautions=CAUTIONS,
        tickets=tickets,
        page_id=new_id(),
        pressures=_PRESSURE_UNITS,
        flows=_FLOW_UNITS,
        times=tuple(SECONDS),
        known=facts,
        laid=Laid(facts),
    )


def _about(db: Connection, car: CarRow) -> About:
    return About(
        bool(car.has_airflow_meter),
        car.fuel == "diesel",
        bool(car.throttle_vacuum),
        bool(car.turbocharged),
        round(ambient_kpa((None, None, car.altitude_m)), 1),
        bores_of(db, car.id),
    )


def _known(db: Connection, car: CarRow) -> dict[str, Typed]:
    """What the record has for each way's boxes: the latest readings, the baselines and the car's figures."""
    figures, own = figures_of(db, car.id), baselines(db, car.id)
    kinds = (ReadingKind.IDLE_VACUUM, ReadingKind.STEADY_BOOST, ReadingKind.AIRFLOW_IDLE, ReadingKind.FUEL_TRIM_IDLE)
    # Read as the healthy figure was: air conditioning alone costs more vacuum than many a leak.
    last = {kind: last_of(db, car.id, kind, READINGS[kind].conditions[0]) for kind in kinds}
    engine = {"litres": plain(figures.displacement_l)}
    idle = _gauge(last[ReadingKind.IDLE_VACUUM], "now", "inHg", "vacuum")
    boost = _gauge(last[ReadingKind.STEADY_BOOST], "reached", "bar", "gauge")
    usual_idle = _usual(own, ReadingKind.IDLE_VACUUM, last[ReadingKind.IDLE_VACUUM])
    target = _usual(own, ReadingKind.STEADY_BOOST, last[ReadingKind.STEADY_BOOST])
    known = {
        "trims": idle | _airflow(last[ReadingKind.AIRFLOW_IDLE]) | _trims(own, last[ReadingKind.FUEL_TRIM_IDLE]),
        "vacuum": idle
        | engine
        | {"usual": usual_idle, "ve": plain(figures.ve_idle), "idle_gs": _healthy_airflow(figures, own)},
        "hold": {"volume": plain(figures.reservoir_l), "unit": "inHg", "basis": "vacuum", "took_unit": "h"},
        "boost": boost | engine | {"target": target, "ve": plain(figures.ve_full), "airflow_unit": "g/s"},
    }
    return {way: {name: known[way].get(name, "") for name in BOXES[way]} for way in WAYS}


def _gauge(read: ReadingRow | None, name: str, unit: str, basis: str) -> Typed:
    if read is None:
        return {"unit": unit, "basis": basis}
    return {name: plain(read.value), "unit": read.unit, "basis": read.basis or basis}


def _usual(own: Mapping[str, BaselineView], kind: ReadingKind, last: ReadingRow | None) -> str:
    """The healthy figure as it would read on the gauge of the latest reading, in the air that one was read in."""
    found = own.get(series_of(kind, READINGS[kind].conditions[0]))
    if found is None or last is None:
        return ""
    scale = found.scale
    if (last.unit, last.basis) == (found.unit, found.basis) and last.ambient_kpa is not None:
        return scale.at(last.ambient_kpa).figure(scale.at(last.ambient_kpa).shown(found.usual.centre))
    return ""


def _airflow(last: ReadingRow | None) -> Typed:
    return {"airflow": plain(last.value), "airflow_unit": last.unit} if last else {"airflow_unit": "g/s"}


def _trims(own: Mapping[str, BaselineView], last: ReadingRow | None) -> Typed:
    """The record keeps the two trims as one sum: it stands as the long one, beside a short one of nought."""
    found = own.get(series_of(ReadingKind.FUEL_TRIM_IDLE, READINGS[ReadingKind.FUEL_TRIM_IDLE].conditions[0]))
    typed = {"short": "0", "long": plain(last.value)} if last else {}
    if found is None:
        return typed
    # As the sign is judged: a healthy engine's trims wander by more than a few readings show.
    wander = round(max(EDGE_SPREADS * found.usual.spread, LEAST_TRIM), 2)
    return typed | {"trim": plain(round(found.usual.centre, 2)), "wander": plain(wander)}


def _healthy_airflow(figures: FiguresRow, own: Mapping[str, BaselineView]) -> str:
    if figures.idle_airflow_gs is not None:
        return plain(figures.idle_airflow_gs)
    found = own.get(series_of(ReadingKind.AIRFLOW_IDLE, READINGS[ReadingKind.AIRFLOW_IDLE].conditions[0]))
    return plain(round(found.usual.centre * 1e3, 2)) if found else ""
