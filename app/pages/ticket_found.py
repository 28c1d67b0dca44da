"""Found it: which line or part was at fault, and what was wrong with it."""

from collections.abc import Sequence

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.airpath.words import SUSPECT_LABEL, Suspect
from app.pages.forms import EMPTY, Form, Posted
from app.pages.shell import garage_of, page, see
from app.pages.ticket_board import the_ticket
from app.pages.ticket_moments import not_before
from app.records.candidates import Thing, things_of
from app.records.experience import OwnSuspectRow, own_suspects
from app.records.suspects import ranking
from app.records.tickets import TicketRow
from app.triage.answers import RankedSuspect

router = APIRouter()

_NAMES = ("found_line", "found_component", "found_suspect", "found_own_suspect")
_UNKNOWN = "This car has no such line or part. Choose it from the list."


@router.get("/tickets/{ticket_id}/found")
def found(request: Request, ticket_id: str, suspect: str = "") -> Response:
    """The list to choose from, the likeliest first; with `suspect`, the form."""
    with garage_of(request).read() as db:
        ticket, car = the_ticket(db, ticket_id)
        things, own = things_of(db, car.id), own_suspects(db, car.id)
        if ticket.stands == "proved":
            return see(f"/tickets/{ticket_id}")
        chosen = _chosen(suspect, things, own)
        if chosen:
            return page(request, "tickets/found.html", ticket=ticket, car=car, form=EMPTY, chosen=chosen)
        suspects = ranking(db, car, ticket).suspects
    others = _others(things, suspects)
    return page(request, "tickets/which.html", ticket=ticket, car=car, suspects=suspects, others=others)


@router.post("/tickets/{ticket_id}/found")
def find(request: Request, ticket_id: str, form: Form) -> Response:
    """Take it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        ticket, car = the_ticket(db, ticket_id)
        things, own = things_of(db, car.id), own_suspects(db, car.id)
        if ticket.stands == "proved":
            return see(f"/tickets/{ticket_id}")
        suspects = ranking(db, car, ticket).suspects
    chosen = _chosen_in(form, things, own)
    moment, reasons = not_before(form["found_at"], "found_at", _since(ticket))
    if chosen is None:
        reasons |= {"found": _UNKNOWN if any(form[name] for name in ("found", *_NAMES)) else "Say which it was."}
    if not form["found_wrong"].strip():
        reasons |= {"found_wrong": "Say what was wrong with it: whoever looks next time will want to know."}
    if chosen and not reasons:
        named = dict.fromkeys(_NAMES) | {chosen[0]: chosen[1]}
        outcome = garage.take(form.entry("ticket", ticket_id, {**named, "found_at": moment}, only=("found_wrong",)))
        if outcome.outcome != "refused":
            return see(f"/tickets/{ticket_id}")
        reasons = dict(outcome.reasons)
    again = form.again(reasons)
    offered = [] if chosen else _offered(things, suspects, own)
    return page(
        request, "tickets/found.html", status=422, ticket=ticket, car=car, form=again, chosen=chosen, offered=offered
    )


#: The field that names it, its id, its name.
_Chosen = tuple[str, str, str]


def _others(things: Sequence[Thing], suspects: Sequence[RankedSuspect]) -> list[Thing]:
    """What can be at fault without being among the suspects."""
    ranked = {one.id for one in suspects}
    return [thing for thing in things if thing.kind != "tee" and thing.id not in ranked]


def _offered(things: list[Thing], suspects: Sequence[RankedSuspect], own: list[OwnSuspectRow]) -> list[tuple[str, str]]:
    """The same as a list of one box: ("found_line=l.1", its name), the likeliest first."""
    keys = [(one.id, one.label) for one in suspects] + [(one.id, one.name) for one in _others(things, suspects)]
    found = [(chosen[0], key, name) for key, name in keys if (chosen := _chosen(key, things, own))]
    return [(f"{field}={key}", name) for field, key, name in found]


def _since(ticket: TicketRow) -> tuple[str, str]:
    if ticket.reopened_at and ticket.reopened_at > ticket.noticed_at:
        return ticket.reopened_at, "the ticket was reopened"
    return ticket.noticed_at, "it was noticed"


def _chosen(key: str, things: list[Thing], own: list[OwnSuspectRow]) -> _Chosen | None:
    if key in {one.value for one in Suspect}:
        return "found_suspect", key, SUSPECT_LABEL[Suspect(key)]
    for one in own:
        if one.id == key:
            return "found_own_suspect", key, one.label
    thing = next((one for one in things if one.id == key), None)
    if thing is None:
        return None
    return ("found_line" if thing.role else "found_component"), thing.id, thing.name


def _chosen_in(form: Posted, things: list[Thing], own: list[OwnSuspectRow]) -> _Chosen | None:
    # Of the ticket's own page one list says both which field and which thing.
    listed = form["found"].partition("=")
    named = [(name, form[name]) for name in _NAMES if form[name]] or [listed[::2]]
    if len(named) != 1:
        return None
    chosen = _chosen(named[0][1], things, own)
    return chosen if chosen and chosen[0] == named[0][0] else None
