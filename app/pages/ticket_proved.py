"""Proved fixed: by a reading back in its baseline, or for a stated reason; and reopened when it was not."""

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from pydantic import ValidationError
from sqlalchemy import Connection
from starlette.responses import Response

from app.airpath.readings import READINGS, ReadingKind
from app.pages.forms import EMPTY, Filled, Form
from app.pages.shell import garage_of, page, see
from app.pages.ticket_board import Gauge, the_ticket
from app.pages.ticket_moments import not_before
from app.pages.tickets import ticket_page
from app.records.baselines import baselines
from app.records.cars import CarRow
from app.records.kinds.reading import ReadingFields
from app.records.logbook import now
from app.records.refusals import plain
from app.records.ticket_ends import Proof, proofs
from app.records.tickets import TicketRow

router = APIRouter()

_NO_GROUNDS = "Choose a reading, or give a reason."
_NOT_THEN = "Choose a reading of this car taken since the repair."
_NO_REASON = "Say what shows it, so that it is known next time."


@dataclass(frozen=True, slots=True)
class _Proving:
    """A repaired ticket and what can prove it: readings taken since, and the gauges a reading can be taken from now."""

    ticket: TicketRow
    car: CarRow
    proofs: Sequence[Proof]
    gauges: Sequence[Gauge]


@router.get("/tickets/{ticket_id}/proved")
def prove(request: Request, ticket_id: str, reading: str = "") -> Response:
    """The readings since the repair; `reading` is chosen already."""
    with garage_of(request).read() as db:
        found = _proving(db, ticket_id)
    if found.ticket.stands != "repaired":
        return see(f"/tickets/{ticket_id}")
    return _page(request, found, Filled({"proof_reading": reading} if reading else {}))


@router.post("/tickets/{ticket_id}/proved")
def proved(request: Request, ticket_id: str, form: Form) -> Response:
    """Take the proof; ask when the reading is not back in its baseline."""
    garage = garage_of(request)
    with garage.read() as db:
        found = _proving(db, ticket_id)
    if found.ticket.stands != "repaired":
        return see(f"/tickets/{ticket_id}")
    at, reasons = not_before(form["proved_at"], "proved_at", _since(found.ticket))
    proof = next((one for one in found.proofs if one.reading.id == form["proof_reading"]), None)
    if not form["proof_reading"] and not form["proof_reason"].strip():
        reasons["proof_reading"] = _NO_GROUNDS
    elif form["proof_reading"] and proof is None:
        reasons["proof_reading"] = _NOT_THEN
    asks = {}
    if proof and not proof.back and "baseline" not in form.sure:
        shown = f"{proof.reading.figure} {proof.reading.scale.unit_label}"
        asks["baseline"] = f"{shown} is not back in the usual {proof.usual}. Is it fixed all the same?"
    if not reasons and not asks:
        outcome = garage.take(
            form.entry("ticket", ticket_id, {"proved_at": at}, only=("proof_reading", "proof_reason"))
        )
        if outcome.outcome != "refused":
            return see(f"/tickets/{ticket_id}")
        reasons = dict(outcome.reasons)
    return _page(request, found, form.again(reasons, asks), status=422)


@router.post("/tickets/{ticket_id}/proved/reading")
def take_reading(request: Request, ticket_id: str, form: Form) -> Response:
    """Keep a figure read just now, and come back with it chosen."""
    garage = garage_of(request)
    with garage.read() as db:
        found = _proving(db, ticket_id)
    entry = form.entry("reading", form.record(), {"car": found.car.id, "taken_at": now(), "healthy": False})
    try:
        ReadingFields.model_validate(entry.fields)
    except ValidationError as error:
        return _page(request, found, form.again(plain(error)), status=422)
    outcome = garage.take(entry)
    if outcome.outcome == "refused":
        return _page(request, found, form.again(dict(outcome.reasons)), status=422)
    return see(f"/tickets/{ticket_id}/proved?reading={entry.record}")


@router.post("/tickets/{ticket_id}/reopen")
def reopen(request: Request, ticket_id: str, form: Form) -> Response:
    """Back to open, with the reason; all that was noted stays."""
    garage = garage_of(request)
    with garage.read() as db:
        ticket, _ = the_ticket(db, ticket_id)
    if ticket.stands == "open":
        return see(f"/tickets/{ticket_id}")
    reasons = {} if form["reopened_reason"].strip() else {"reopened_reason": _NO_REASON}
    if not reasons:
        outcome = garage.take(form.entry("ticket", ticket_id, {"reopened_at": now()}, only=("reopened_reason",)))
        reasons = dict(outcome.reasons)
    if reasons:
        return ticket_page(request, ticket_id, form.again(reasons), status=422)
    return see(f"/tickets/{ticket_id}")


def _proving(db: Connection, ticket_id: str) -> _Proving:
    ticket, car = the_ticket(db, ticket_id)
    own = baselines(db, car.id)
    gauges = [Gauge(view.what, READINGS[view.what], view.condition, view.unit, view.basis) for view in own.values()]
    kinds: dict[ReadingKind, Gauge] = {gauge.what: gauge for gauge in gauges if gauge.what is not ReadingKind.FREE}
    since = ticket.repaired_at or ticket.noticed_at
    return _Proving(ticket, car, proofs(db, car.id, since), list(kinds.values()))


def _since(ticket: TicketRow) -> tuple[str, str]:
    return ticket.repaired_at or ticket.noticed_at, "it was repaired"


def _page(request: Request, found: _Proving, form: Filled, *, status: int = 200) -> Response:
    # One page, two forms: the refused one shows its own boxes again, the other stays blank.
    inline = "value" in form.values
    return page(
        request,
        "tickets/proved.html",
        status=status,
        proving=found,
        form=EMPTY if inline else form,
        figured=form if inline else EMPTY,
    )
