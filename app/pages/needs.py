"""What an item of the plan needs first: put down, ticked off and taken back, from the part's page."""

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.car_parts import shown, the_part
from app.pages.forms import Form, Posted
from app.pages.part_needs import cycle_said
from app.pages.shell import garage_of, see
from app.plan.order import closes, edges_of
from app.records.entry import Entry, Value
from app.records.logbook import now
from app.records.plan import plan_of
from app.records.record_heads import head_of

router = APIRouter()

#: The ways to say what is needed: the field, and what comes before what was chosen in the need's own id.
_WAYS = {"needs_part": "", "needs_here": "here.", "tool": "", "reading": ""}


@router.post("/parts/{part_id}/needs")
def add(request: Request, part_id: str, form: Form) -> Response:
    """Put a need down; one that would close a cycle is refused at its box, with the way round named."""
    garage = garage_of(request)
    with garage.read() as db:
        head = the_part(db, part_id)
        reasons = _cycle(db, head.car, part_id, form["needs_part"])
    if not reasons:
        outcome = garage.take(_entry(form, part_id))
        reasons = dict(outcome.reasons) if outcome.outcome == "refused" else {}
    if reasons:
        with garage.read() as db:
            return shown(request, db, head, form.again(reasons), 422)
    return see(f"/parts/{part_id}#needs")


@router.post("/needs/{need}/met")
def met(request: Request, need: str, form: Form) -> Response:
    """Tick off what stands in words, or not."""
    part = _part_of(request, need)
    garage_of(request).take(form.make("need", need, {"met_at": now() if form["met"] == "yes" else None}))
    return see(f"/parts/{part}#needs")


@router.post("/needs/{need}/void")
def not_needed(request: Request, need: str, form: Form) -> Response:
    """It is not needed after all."""
    part = _part_of(request, need)
    garage_of(request).take(form.make("need", need, {"void_reason": "Not needed after all"}))
    return see(f"/parts/{part}#needs")


def _cycle(db: Connection, car: str, part: str, needs: str) -> dict[str, str]:
    plan = plan_of(db, car)
    if needs == part:
        return {"needs_part": "A part can't need itself."}
    path = closes(edges_of(plan), part, needs) if part in plan.items and needs in plan.items else None
    return {"needs_part": f"That goes round in a circle: {cycle_said(plan, path)}."} if path else {}


def _entry(form: Posted, part: str) -> Entry:
    fields: dict[str, Value] = {"part": part, "void_reason": None}
    for name, before in _WAYS.items():
        if chosen := form[name].strip():
            return form.make("need", f"{part}.{before}{chosen}"[:200], fields | {name: chosen})
    return form.make("need", form.record(), fields | {"what": form["what"]})


def _part_of(request: Request, need: str) -> str:
    with garage_of(request).read() as db:
        head = head_of(db, "need", need)
    if head is None or head.parent is None:
        raise HTTPException(404, "There is no such need.")
    return head.parent
