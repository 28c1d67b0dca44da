"""What was touched before a fault, each touch with its suspect; and one suspect with its touches and its reasons."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.shell import garage_of, page
from app.pages.ticket_board import Board, board, the_ticket
from app.pages.waterfall import WIDTH, Waterfall, waterfall_of
from app.records.suspects import Case, before_what, weighing_of
from app.records.touches import TouchRow, touches_before
from app.triage.answers import RankedSuspect
from app.triage.waterfall import waterfall

router = APIRouter()

#: How many touches a page shows; what lies further back is of no help.
SHOWN = 200


@dataclass(frozen=True, slots=True)
class Before:
    """One touch before the fault. `days` and `distance` (the car's own unit) lie between; `suspect` is what it made."""

    touch: TouchRow
    days: int
    distance: float | None
    suspect: RankedSuspect | None

    @property
    def thing(self) -> str | None:
        """The line or component touched."""
        return self.touch.line or self.touch.component


@router.get("/tickets/{ticket_id}/touched")
def touched(request: Request, ticket_id: str) -> Response:
    """Every touch before the fault was noticed, newest first."""
    with garage_of(request).read() as db:
        ticket, car = the_ticket(db, ticket_id)
        of = board(db, ticket, car)
        found = touches_before(db, car.id, of.until, SHOWN)
    return page(request, "tickets/touched.html", board=of, touches=_before(of, found))


@router.get("/tickets/{ticket_id}/suspects")
def suspects(request: Request, ticket_id: str) -> Response:
    """Every suspect with its reasons, the likeliest first, for a phone without scripts."""
    with garage_of(request).read() as db:
        ticket, car = the_ticket(db, ticket_id)
        return page(request, "tickets/suspects.html", board=board(db, ticket, car))


@router.get("/tickets/{ticket_id}/suspects/{candidate}")
def suspect(request: Request, ticket_id: str, candidate: str) -> Response:
    """One suspect: how likely, every reason and what each did, what was touched of it, and how to check it."""
    with garage_of(request).read() as db:
        ticket, car = the_ticket(db, ticket_id)
        of = board(db, ticket, car)
        found = touches_before(db, car.id, ticket.noticed_at, SHOWN)
    one = next((each for each in of.ranking.suspects if each.id == candidate), None)
    if one is None:
        raise HTTPException(404, "There is no such suspect.")
    touches = _before(of, (touch for touch in found if candidate in {touch.line, touch.component}))
    checks = [check for check in of.checks if check.step.candidate_id == candidate]
    return page(
        request,
        "tickets/suspect.html",
        board=of,
        suspect=one,
        field=of.field(one),
        touches=touches,
        checks=checks,
        fall=_fall(of.case, candidate),
        width=WIDTH,
        place=1 + [each.id for each in of.ranking.without_touches].index(candidate),
    )


@lru_cache(maxsize=64)
def _fall(case: Case, candidate: str) -> Waterfall:
    return waterfall_of(waterfall(weighing_of(case), candidate))


def _before(of: Board, touches: Iterable[TouchRow]) -> list[Before]:
    suspects = {one.id: one for one in of.ranking.suspects}
    return [_one_before(of, touch, suspects.get(touch.line or touch.component or "")) for touch in touches]


def _one_before(of: Board, touch: TouchRow, suspect: RankedSuspect | None) -> Before:
    noticed = before_what(of.ticket, of.until, touch.at)
    since = datetime.fromisoformat(noticed) - datetime.fromisoformat(touch.at)
    further = None if of.ticket.reads is None or touch.odometer is None else of.ticket.reads - touch.odometer
    return Before(
        touch,
        round(since / timedelta(days=1)),
        further if further is None or further >= 0 else None,
        suspect,
    )
