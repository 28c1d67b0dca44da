"""What the car page says of its tickets: each that is not yet proved fixed, with its leading suspect."""

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.cars import CarRow
from app.records.cautions import do_not_drive
from app.records.suspects import cases, ranked
from app.records.tickets import TicketRow, last_proved, unproved

STEPS = (
    "found_at",
    "found_line",
    "found_component",
    "found_suspect",
    "found_own_suspect",
    "repaired_at",
    "proved_at",
    "reopened_at",
)

#: How many of the tickets proved last a car's page carries, unseen.
_JUST = 2


@dataclass(frozen=True, slots=True)
class TicketLine:
    """One ticket in a list.

    `leading` is the likeliest suspect of an open ticket with its probability, else what was found at fault, without.
    `do_not_drive` is the reason to leave the car standing. `steps`: what its fields say of how far it has come.
    """

    id: str
    what: str
    noticed_at: str
    stands: str
    leading: str | None
    probability: float | None
    do_not_drive: str | None
    steps: Mapping[str, str | None]


def open_tickets(connection: Connection, car: CarRow) -> list[TicketLine]:
    """Every ticket of the car that is not yet proved, newest first. The number of queries does not grow with them."""
    found = unproved(connection, car.id)
    weighed = cases(connection, car, [ticket for ticket in found if ticket.stands == "open"])
    lines = []
    for ticket in found:
        case = weighed.get(ticket.id)
        if case is None:
            lines.append(_line(ticket, ticket.found_label, None, do_not_drive(ticket, None)))
            continue
        first = ranked(case).suspects[0]
        lines.append(_line(ticket, first.label, first.probability, do_not_drive(ticket, case)))
    return lines


def just_proved(connection: Connection, car: CarRow) -> list[TicketLine]:
    """The tickets proved last: one of them may be reopened far from the garage, and has to be seen at once then."""
    return [_line(one, one.found_label, None, None) for one in last_proved(connection, car.id, _JUST)]


def _line(ticket: TicketRow, leading: str | None, probability: float | None, reason: str | None) -> TicketLine:
    return TicketLine(
        ticket.id,
        ticket.what,
        ticket.noticed_at,
        ticket.stands,
        leading,
        probability,
        reason,
        {name: getattr(ticket, name) for name in STEPS},
    )
