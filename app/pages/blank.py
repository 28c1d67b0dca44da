"""The blank pages a phone keeps for what is opened with no connection."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.fit_to_run import card_of as event_card
from app.pages.job_card import card_of
from app.pages.kept_for_good import PLACEHOLDER
from app.pages.shell import garage_of, page
from app.pages.ticket_card import card_of as ticket_card
from app.pages.which import the_car
from app.records.events import nothing_planned
from app.records.jobs import nothing_yet
from app.records.logbook import now
from app.records.tickets import nothing_yet as no_ticket_yet

router = APIRouter()


@router.get("/cars/{car}/jobs/blank")
def blank_job(request: Request, car: str) -> Response:
    """The page of a job of which nothing is known but its car."""
    with garage_of(request).read() as db:
        return page(request, "jobs/show.html", **card_of(db, nothing_yet(PLACEHOLDER, the_car(db, car), now())))


@router.get("/cars/{car}/tickets/blank")
def blank_ticket(request: Request, car: str) -> Response:
    """The page of a ticket of which nothing is known but its car."""
    with garage_of(request).read() as db:
        of = the_car(db, car)
        return page(request, "tickets/show.html", **ticket_card(db, no_ticket_yet(PLACEHOLDER, of, now()), of))


@router.get("/cars/{car}/events/blank")
def blank_event(request: Request, car: str) -> Response:
    """The page of an event of which nothing is known but its car."""
    with garage_of(request).read() as db:
        of = the_car(db, car)
        return page(request, "events/show.html", **event_card(db, nothing_planned(PLACEHOLDER, of.id), of))
