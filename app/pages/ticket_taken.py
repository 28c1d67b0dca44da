"""A reading taken since the repair proves a ticket: what the phone needs to offer it, sent or still waiting.

Of each series that has a baseline the latest one counts, as on the page without scripts (app.pages.ticket_proved).
"""

from sqlalchemy import Connection

from app.pages.follows import Rule, Rules
from app.records.entry import Value
from app.records.known import Known
from app.records.readings import ReadingRow
from app.records.ticket_ends import proofs
from app.records.tickets import TicketRow

_SAYS = ("what", "condition", "value", "unit", "basis", "taken_at")


def taken_since(db: Connection, ticket: TicketRow) -> Known:
    """The readings that can prove a ticket that waits for its proof, each with whether it is back in its baseline."""
    if ticket.stands != "repaired":
        return {}
    found = proofs(db, ticket.car, ticket.repaired_at or ticket.noticed_at)
    return {f"reading/{one.reading.id}": _fields(one.reading, ticket.car, back=one.back) for one in found}


def _fields(reading: ReadingRow, car: str, *, back: bool) -> dict[str, Value]:
    said: dict[str, Value] = {name: getattr(reading, name) for name in _SAYS}
    said |= {"car": car, "back": "yes" if back else "no"}
    return {name: value for name, value in said.items() if value is not None}


def proving_rules(car: str, ticket: str) -> Rules:
    """What follows for each series that has a baseline ("proving/idle_vacuum.warm" of what the page knows)."""
    of_it = f". car = {car} & . what = {{what}} & . condition = {{condition}} & ! . void_reason"
    read: dict[str, Rule] = {f"read_{name}": f"reading/{{reading}} {name}" for name in ("value", "unit", "basis")}
    same_scale = ". read_unit = {unit} & . read_basis = {basis}"
    return {
        "proving": {
            "since": {"first": [f"ticket/{ticket} repaired_at", f"ticket/{ticket} noticed_at"]},
            "reading": {"latest": [["reading", "taken_at", "id"]], "where": of_it, "start": ["none", "none"]},
            "taken_at": "reading/{reading} taken_at",
            **read,
            "back": {
                "first": ["reading/{reading} back", {"within": ["read_value", "low", "high"], "while": same_scale}]
            },
            "proves": {"any": [". taken_at >= {since}"]},
        }
    }
