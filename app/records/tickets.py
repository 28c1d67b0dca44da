"""Tickets: one fault each, from first noticed to proved fixed."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

from sqlalchemy import Connection

from app.airpath.words import SUSPECT_LABEL, Suspect
from app.records.cars import CarRow
from app.records.cars import car as car_row
from app.records.rows import row, rows


@dataclass(frozen=True, slots=True)
class TicketRow:
    """One ticket, with the names of what was found at fault and how far after the last job it was noticed.

    `after_distance` is in the car's own unit; `last_job` is the job, `last_job_at` its moment, before it was noticed.
    `reads` is the odometer when it was noticed, as typed or as last known then.
    """

    id: str
    car: str
    what: str
    noticed_at: str
    noticed_odometer: float | None
    note: str | None
    stands: str
    found_at: str | None
    found_line: str | None
    found_component: str | None
    found_suspect: str | None
    found_own_suspect: str | None
    found_wrong: str | None
    repaired_at: str | None
    repaired_how: str | None
    repaired_note: str | None
    proved_at: str | None
    proof_reading: str | None
    proof_reason: str | None
    reopened_at: str | None
    reopened_reason: str | None
    reads: float | None
    last_job: str | None
    last_job_at: str | None
    last_job_reads: float | None
    found_name: str | None
    found_role: str | None

    @property
    def after_distance(self) -> float | None:
        """How far the car went between the last job and the fault; None if either figure is missing or runs back."""
        if self.reads is None or self.last_job_reads is None or self.reads < self.last_job_reads:
            return None
        return self.reads - self.last_job_reads

    @property
    def found_label(self) -> str | None:
        """What was found at fault, by name."""
        return self.found_name or (SUSPECT_LABEL[Suspect(self.found_suspect)] if self.found_suspect else None)

    @property
    def found_id(self) -> str | None:
        """The line, component, plain suspect or suspect of one's own found at fault."""
        return self.found_line or self.found_component or self.found_suspect or self.found_own_suspect


_READS = "(SELECT o.reads FROM odometer o WHERE o.car = t.car AND o.at <= {at} ORDER BY o.at DESC LIMIT 1)"
_SELECT = f"""
SELECT t.id, t.car, t.what, t.noticed_at, t.noticed_odometer, t.note, t.stands,
       t.found_at, t.found_line, t.found_component, t.found_suspect, t.found_own_suspect, t.found_wrong,
       t.repaired_at, t.repaired_how, t.repaired_note, t.proved_at, t.proof_reading, t.proof_reason,
       t.reopened_at, t.reopened_reason,
       coalesce(t.noticed_odometer, {_READS.format(at="t.noticed_at")}),
       j.id, j.opened_at, coalesce(j.odometer, {_READS.format(at="j.opened_at")}),
       coalesce(l.name, c.name, o.label), l.role
FROM ticket t
LEFT JOIN job j ON j.id = (
  SELECT id FROM job WHERE car = t.car AND opened_at <= t.noticed_at AND void_reason IS NULL
  ORDER BY opened_at DESC LIMIT 1)
LEFT JOIN line l ON l.id = t.found_line
LEFT JOIN component c ON c.id = t.found_component
LEFT JOIN own_suspect o ON o.id = t.found_own_suspect
WHERE t.void_reason IS NULL AND {{where}}
"""
_ONE = _SELECT.format(where="t.id = ?")
_UNPROVED = _SELECT.format(where="t.car = ? AND t.stands <> 'proved'") + " ORDER BY t.noticed_at DESC, t.id"
_PROVED = _SELECT.format(where="t.car = ? AND t.stands = 'proved'") + " ORDER BY t.proved_at DESC, t.id LIMIT ?"
_PAGE = _SELECT.format(where="t.car = ?") + " ORDER BY t.stands = 'proved', t.noticed_at DESC, t.id LIMIT ? OFFSET ?"


def ticket(connection: Connection, ticket_id: str) -> TicketRow | None:
    """One ticket; None if there is no such ticket."""
    return row(connection, TicketRow, _ONE, ticket_id)


def ticket_and_car(connection: Connection, ticket_id: str) -> tuple[TicketRow, CarRow] | None:
    """One ticket with its car; None if there is no such ticket, or its car was withdrawn."""
    found = ticket(connection, ticket_id)
    car = found and car_row(connection, found.car)
    return (found, car) if found and car else None


def nothing_yet(ticket_id: str, of: CarRow, at: str) -> TicketRow:
    """A ticket of this car of which nothing is known yet but that it is noticed at the moment `at`."""
    unknown = dict.fromkeys((one.name for one in fields(TicketRow)), None)
    known = {"id": ticket_id, "car": of.id, "what": "", "noticed_at": at, "stands": "open", "reads": of.reads}
    return TicketRow(**(unknown | known))  # type: ignore[arg-type]  # every field is there, those not known as None


def tickets(connection: Connection, car: str, limit: int, offset: int = 0) -> list[TicketRow]:
    """A page of a car's tickets: those not yet proved first, then the newest."""
    return rows(connection, TicketRow, _PAGE, car, limit, offset)


def unproved(connection: Connection, car: str) -> Sequence[TicketRow]:
    """Every ticket of a car that is not yet proved fixed, newest first."""
    return rows(connection, TicketRow, _UNPROVED, car)


def last_proved(connection: Connection, car: str, limit: int) -> Sequence[TicketRow]:
    """The tickets of a car that were proved fixed last, newest proof first."""
    return rows(connection, TicketRow, _PROVED, car, limit)
