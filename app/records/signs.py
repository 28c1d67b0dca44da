"""What was seen on a ticket: its signs, the readings behind them, and the direct checks made in the hunt."""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import rows
from app.triage.codes import NO_CODES
from app.triage.signs import CODES


@dataclass(frozen=True, slots=True)
class SignRow:
    """One sign as noted. Without an outcome nobody could tell; `value` to `ambient_kpa` are the reading's, if any."""

    ticket: str
    sign: str
    outcome: str | None
    reading: str | None
    noted_at: str
    what: str | None
    condition: str | None
    value: float | None
    unit: str | None
    basis: str | None
    si: float | None
    ambient_kpa: float | None


_SIGNS = """
SELECT s.ticket, s.sign, s.outcome, r.id, s.noted_at,
       r.what, r.condition, r.value, r.unit, r.basis, r.si, r.ambient_kpa
FROM sign s LEFT JOIN reading r ON r.id = s.reading AND r.void_reason IS NULL
WHERE s.ticket IN (SELECT value FROM json_each(?)) AND s.void_reason IS NULL
ORDER BY s.noted_at, s.id
"""


def signs_of(connection: Connection, tickets: Sequence[str]) -> list[SignRow]:
    """Every sign noted on these tickets, in the order noted."""
    return rows(connection, SignRow, _SIGNS, json.dumps(tickets))


def codes_of(signs: Sequence[SignRow]) -> tuple[str, ...] | None:
    """The trouble codes among a ticket's signs: None while nobody has read them, empty if none is stored."""
    text = next((sign.outcome for sign in signs if sign.sign == CODES), None)
    return None if text is None else tuple(code for code in text.split() if code != NO_CODES)


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One direct check: `candidate` is the line, component or suspect looked at, `name` what it is called."""

    id: str
    ticket: str
    candidate: str
    name: str | None
    method: str
    result: str
    done_at: str
    note: str | None


_CHECKS = """
SELECT d.id, d.ticket, coalesce(d.line, d.component, d.suspect, d.own_suspect),
       coalesce(l.name, c.name, o.label),
       d.method, d.result, d.done_at, d.note
FROM direct_check d LEFT JOIN line l ON l.id = d.line LEFT JOIN component c ON c.id = d.component
LEFT JOIN own_suspect o ON o.id = d.own_suspect
WHERE d.ticket IN (SELECT value FROM json_each(?)) AND d.void_reason IS NULL
ORDER BY d.done_at, d.id
"""


def checks_of(connection: Connection, tickets: Sequence[str]) -> list[CheckRow]:
    """Every direct check made on these tickets, in the order made."""
    return rows(connection, CheckRow, _CHECKS, json.dumps(tickets))
