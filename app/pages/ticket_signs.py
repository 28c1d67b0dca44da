"""Answering a ticket: signs by one tap, figures that become readings, direct checks."""

from fastapi import APIRouter, HTTPException, Request
from pydantic import ValidationError
from starlette.responses import Response

from app.airpath.readings import Condition, ReadingKind
from app.pages.forms import Form, Posted
from app.pages.shell import garage_of, see
from app.pages.ticket_board import the_ticket
from app.pages.tickets import ticket_page
from app.records.baselines import baselines
from app.records.entry import Entry, Value
from app.records.judged import READING_OF, Read, outcome_of
from app.records.kinds.reading import ReadingFields
from app.records.logbook import RefusedError, now
from app.records.refusals import plain
from app.records.signs import checks_of, signs_of

router = APIRouter()


@router.post("/tickets/{ticket_id}/signs")
def answer(request: Request, ticket_id: str, form: Form, at: str = "ask") -> Response:
    """Note one sign, or that nobody could tell."""
    reasons = _note(request, ticket_id, form)
    if reasons:
        return ticket_page(request, ticket_id, form.again(reasons), wrong_sign=_where(form, at), status=422)
    return see(f"/tickets/{ticket_id}" + (f"#sign-{form['sign']}" if at == "list" else ""))


@router.post("/tickets/{ticket_id}/signs/{sign}/reading")
def figure(request: Request, ticket_id: str, sign: str, form: Form) -> Response:
    """Keep a figure as a reading, and let it answer the sign through the car's baseline."""
    reasons = _read(request, ticket_id, sign, form)
    if reasons:
        return ticket_page(request, ticket_id, form.again(reasons), wrong_sign=sign, status=422)
    return see(f"/tickets/{ticket_id}#sign-{sign}")


@router.post("/tickets/{ticket_id}/checks")
def checked(request: Request, ticket_id: str, form: Form) -> Response:
    """Note what a direct check showed."""
    reasons = _check(request, ticket_id, form)
    if reasons:
        return ticket_page(request, ticket_id, form.again(reasons), status=422)
    return see(f"/tickets/{ticket_id}")


@router.post("/tickets/{ticket_id}/checks/{check}/take-back")
def take_back(request: Request, ticket_id: str, check: str, form: Form) -> Response:
    """Strike out a direct check that was noted by mistake."""
    _strike(request, ticket_id, check, form)
    return see(f"/tickets/{ticket_id}")


def _where(form: Posted, at: str) -> str:
    # A refused answer to the question asked next is shown there, not in the list below.
    return form["sign"] if at == "list" else ""


def _note(request: Request, ticket_id: str, form: Posted) -> dict[str, str]:
    garage = garage_of(request)
    with garage.read() as db:
        the_ticket(db, ticket_id)
    fields: dict[str, Value] = {
        "ticket": ticket_id,
        "sign": form["sign"],
        "outcome": form["outcome"],
        "reading": None,
        "noted_at": now(),
    }
    return dict(garage.take(form.make("sign", f"{ticket_id}.{form['sign'] or 'none'}", fields)).reasons)


def _read(request: Request, ticket_id: str, sign: str, form: Posted) -> dict[str, str]:
    garage = garage_of(request)
    if sign not in READING_OF or form["what"] not in READING_OF[sign]:
        raise HTTPException(404, "No figure answers that sign.")
    with garage.read() as db:
        _, car = the_ticket(db, ticket_id)
        own = baselines(db, car.id)
        noted = {one.sign: one.outcome for one in signs_of(db, [ticket_id])}
    reading = form.record()
    entry = form.entry("reading", reading, {"car": car.id, "taken_at": now(), "healthy": False})
    try:
        fields = ReadingFields.model_validate(entry.fields)
    except ValidationError as error:
        return plain(error)
    taken = fields.taken()
    read = Read(
        ReadingKind(fields.what),
        Condition(fields.condition),
        fields.value,
        fields.unit,
        fields.basis,
        taken.si,
        taken.ambient_kpa,
    )
    outcome = outcome_of(sign, read, own, noted.get("idle_vacuum"))
    answered: dict[str, Value] = {"ticket": ticket_id, "sign": sign, "outcome": outcome, "reading": reading}
    try:
        garage.take_all([entry, form.make("sign", f"{ticket_id}.{sign}", answered | {"noted_at": now()})])
    except RefusedError as refused:
        return dict(refused.outcomes[0].reasons)
    return {}


def _check(request: Request, ticket_id: str, form: Posted) -> dict[str, str]:
    garage = garage_of(request)
    with garage.read() as db:
        the_ticket(db, ticket_id)
    entry = form.entry("direct_check", form.record(), {"ticket": ticket_id, "done_at": now()})
    return dict(garage.take(entry).reasons)


def _strike(request: Request, ticket_id: str, check: str, form: Posted) -> None:
    garage = garage_of(request)
    with garage.read() as db:
        the_ticket(db, ticket_id)
        if check not in {made.id for made in checks_of(db, [ticket_id])}:
            return  # struck out already
    struck: Entry = form.make("direct_check", check, {"void_reason": "Noted by mistake"})
    garage.take(struck)
