"""The plan of a car: its graph, what can be done now, what holds the next stage up, and its stages."""

from typing import Any

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.changes import changes
from app.pages.forms import EMPTY, Filled, Form
from app.pages.part_needs import cycle_said
from app.pages.part_words import STATES
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.pages.words import due
from app.plan.figure import figure
from app.plan.items import Item, Plan, Stage
from app.plan.order import edges_of, find_cycle
from app.plan.ready import holds, is_ready, next_stage, ready, unmet
from app.records.cars import CarRow
from app.records.kept import kept_today
from app.records.money import Money, money_of
from app.records.plan import in_the_graph, plan_of, stages_of

router = APIRouter()


@router.get("/cars/{car_id}/plan")
def show(request: Request, car_id: str) -> Response:
    """What can be done now, what holds the next stage up, and the graph."""
    with garage_of(request).read() as db:
        car, shown = the_car(db, car_id), _shown(db, car_id)
    return page(request, "plans/show.html", car=car, known={}, **shown)


@kept_today
def _shown(db: Connection, car_id: str) -> dict[str, Any]:
    plan = plan_of(db, car_id)
    drawn = in_the_graph(plan)
    cycle = find_cycle(edges_of(plan))
    coming = next_stage(plan)
    return {
        "plan": plan,
        "ready": ready(plan),
        "coming": coming,
        "holds": holds(plan, coming) if coming else [],
        "cycle": cycle_said(plan, cycle) if cycle else None,
        "drawn": figure(drawn, {item.id: _said(plan, item) for item in drawn.items.values()}),
        "left": _left(plan),
    }


@router.get("/cars/{car_id}/stages/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form, with the number after the last."""
    with garage_of(request).read() as db:
        car, stages = the_car(db, car_id), stages_of(db, car_id)
    step = min(max((stage.step for stage in stages), default=0) + 1, 99)
    return _form(request, Filled({"step": str(step), "record": new_id()}), car)


@router.post("/cars/{car_id}/stages/new")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Take the stage, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
    outcome = garage.take(form.entry("stage", form.record(), {"car": car_id}))
    if outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), car, status=422)
    return see(f"/cars/{car_id}/plan")


@router.get("/cars/{car_id}/stages/{stage_id}")
def edit(request: Request, car_id: str, stage_id: str) -> Response:
    """The form with the stage's facts in it."""
    with garage_of(request).read() as db:
        car, stage = the_car(db, car_id), _the_stage(db, car_id, stage_id)
    return _form(request, EMPTY, car, stage)


@router.post("/cars/{car_id}/stages/{stage_id}")
def change(request: Request, car_id: str, stage_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        car, stage = the_car(db, car_id), _the_stage(db, car_id, stage_id)
    current = {name: getattr(stage, name) for name in ("step", "name", "by_day", "power_kw", "note")}
    fields = changes(form, "stage", current)
    outcome = garage.take(form.make("stage", stage_id, fields)) if fields else None
    if outcome is not None and outcome.outcome == "refused":
        return _form(request, form.again(outcome.reasons), car, stage, 422)
    return see(f"/cars/{car_id}/plan")


@router.get("/cars/{car_id}/money")
def money(request: Request, car_id: str) -> Response:
    """What the parts cost, by stage, by job and by year, each currency for itself."""
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), money_of(db, car_id)
    return page(request, "money/show.html", car=car, money=found, tables=_tables(found), known={})


def _tables(found: Money) -> list[tuple[str, str, str, Any]]:
    """Heading, address before an id, what belongs to none, and the lines."""
    return [
        ("By stage", "", "In no stage", found.by_stage),
        ("By job", "/jobs/", "Not fitted in a job yet", found.by_job),
        ("By year", "", "Nobody wrote down when", found.by_year),
    ]


def _said(plan: Plan, item: Item) -> str:
    """How an item stands, as short as its box: its stage, its state, what it waits for."""
    state = "done" if item.is_work and item.done else STATES[item.state]
    if is_ready(plan, item):
        state = "can be done now"
    elif item.at_hand and item.is_to_do and (waits := len(unmet(plan, item))):
        state = f"waits for {waits}" if item.is_work else f"{state}, waits for {waits}"
    elif item.state == "ordered" and item.expected_on:
        state = due(item.expected_on)
    step = plan.step(item)
    return f"{step} · {state}" if step < 1_000 else state


def _left(plan: Plan) -> dict[str, tuple[int, int]]:
    """Of each stage by id: how many items are done, and how many there are."""
    found = {}
    for stage in plan.stages:
        items = [item for item in plan.items.values() if item.stage == stage.id and item.state != "gone"]
        found[stage.id] = (sum(item.done for item in items), len(items))
    return found


def _the_stage(db: Connection, car_id: str, stage_id: str) -> Stage:
    found = next((stage for stage in stages_of(db, car_id) if stage.id == stage_id), None)
    if found is None:
        raise HTTPException(404, "There is no such stage.")
    return found


def _form(request: Request, form: Filled, car: CarRow, stage: Stage | None = None, status: int = 200) -> Response:
    return page(request, "plans/stage.html", status=status, form=form, car=car, stage=stage, known={})
