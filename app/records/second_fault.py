"""Reopened after its repair, a ticket hunts a second fault: what was seen before the repair may be of either."""

import json
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.baselines import BaselineView
from app.records.judged import outcomes
from app.records.rows import rows
from app.records.signs import CheckRow, SignRow, codes_of
from app.records.tickets import TicketRow
from app.triage.inputs import CheckOutcome, CheckResult, Repaired

_RESULTS: dict[str, CheckOutcome] = {"fault": "fault", "sound": "fine"}


@dataclass(frozen=True, slots=True)
class Mended:
    """What was found and repaired before a ticket was last reopened, and when."""

    thing: str
    repaired_at: str


@dataclass(frozen=True, slots=True)
class _Said:
    ticket: str
    found_at: str | None
    found: str | None
    repaired_at: str | None


_SAID = """
SELECT record, fields ->> 'found_at',
       coalesce(fields ->> 'found_line', fields ->> 'found_component', fields ->> 'found_suspect',
                fields ->> 'found_own_suspect'),
       fields ->> 'repaired_at'
FROM entry WHERE kind = 'ticket' AND record IN (SELECT value FROM json_each(?))
"""


def mended_before(connection: Connection, tickets: Sequence[TicketRow]) -> dict[str, Mended]:
    """By ticket, the fault repaired before it was reopened; nothing for one that was not.

    A ticket's own fields tell of its last fault alone, so what was found and repaired before is read from its entries.
    """
    reopened = [ticket for ticket in tickets if ticket.reopened_at is not None]
    if not reopened:
        return {}
    told: dict[str, list[_Said]] = {}
    for one in rows(connection, _Said, _SAID, json.dumps([ticket.id for ticket in reopened])):
        told.setdefault(one.ticket, []).append(one)
    found = {ticket.id: _mended(ticket, told.get(ticket.id, ())) for ticket in reopened}
    return {ticket: mended for ticket, mended in found.items() if mended is not None}


def _mended(ticket: TicketRow, told: Sequence[_Said]) -> Mended | None:
    until = ticket.reopened_at or ""
    repairs = [at for one in told if (at := one.repaired_at) is not None and at < until]
    if not repairs:
        return None
    at = max(repairs)
    if ticket.found_at is not None and ticket.found_at <= at:
        return Mended(ticket.found_id, at) if ticket.found_id else None
    found = [(one.found_at, one.found) for one in told if one.found_at and one.found and one.found_at <= at]
    return Mended(max(found)[1], at) if found else None


def noticed(ticket: TicketRow, mended: Mended | None) -> str:
    """The moment the fault that is hunted now was noticed: what was touched by then may have brought it about."""
    return ticket.noticed_at if mended is None or ticket.reopened_at is None else ticket.reopened_at


@dataclass(frozen=True, slots=True)
class Seen:
    """A ticket's signs and checks: `signs` and `checks` those since the first fault was repaired, all if none was."""

    first: Mended | None
    signs: Sequence[SignRow]
    checks: Sequence[CheckRow]
    signs_before: Sequence[SignRow] = ()
    checks_before: Sequence[CheckRow] = ()

    def repaired(self, known: Container[str], usual: Mapping[str, BaselineView]) -> Repaired | None:
        """The first fault with what was seen until it was repaired, as triage takes it; `usual`: as for `outcomes`."""
        if self.first is None:
            return None
        signs = dict(outcomes(self.signs_before, usual))
        return Repaired(self.first.thing, signs, codes_of(self.signs_before), results(self.checks_before, known))


def seen_of(first: Mended | None, signs: Sequence[SignRow], checks: Sequence[CheckRow], known: Container[str]) -> Seen:
    """The two sides of a repair; one of what is no candidate (`known`) any more tells nothing of a second fault."""
    if first is None or first.thing not in known:
        return Seen(None, signs, checks)
    at = first.repaired_at
    return Seen(
        first,
        [sign for sign in signs if sign.noted_at > at],
        [check for check in checks if check.done_at > at],
        [sign for sign in signs if sign.noted_at <= at],
        [check for check in checks if check.done_at <= at],
    )


def results(checks: Iterable[CheckRow], known: Container[str]) -> tuple[CheckResult, ...]:
    """The checks of these candidates that told something, as triage takes them."""
    # Two looks at one hose are not two witnesses: the later one counts.
    last = {(check.candidate, check.method): check.result for check in checks if check.candidate in known}
    return tuple(
        CheckResult(candidate, method, _RESULTS[result])
        for (candidate, method), result in last.items()
        if result in _RESULTS
    )
