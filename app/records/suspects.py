"""From the record to triage: what the ranking of a ticket rests on, and what it says."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Literal, Protocol, TypeVar, cast

from sqlalchemy import Connection

from app.airpath.words import Layout, Role, TouchKind
from app.records.baselines import baselines
from app.records.candidates import candidates_at, stopgaps_of, things_of
from app.records.cars import CarRow
from app.records.experience import overrules, own_candidates, tools_there
from app.records.judged import outcomes
from app.records.kept import kept
from app.records.lessons import lessons, taught
from app.records.rows import rows
from app.records.second_fault import Mended, mended_before, noticed, results, seen_of
from app.records.signs import CheckRow, SignRow, checks_of, codes_of, signs_of
from app.records.tickets import TicketRow
from app.records.touches import CHECKED
from app.triage.at_hand import AtHand
from app.triage.facts import Facts, Fuel
from app.triage.inputs import Candidate, CheckResult, Evidence, Repaired, Touched
from app.triage.knowledge.overrules import Overrule
from app.triage.model import Ranking, rank, standing_candidates
from app.triage.signs import Need
from app.triage.weighing import Weighing, weighing

#: A touch this long before the fault has long shown what it did.
TOUCHES_COUNT_FOR = timedelta(days=400)
#: NIST SP 811 (2008) Appendix B.8.
KM_PER = {"km": 1.0, "mi": 1.609344}


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """All that the ranking of one ticket rests on: the same case always ranks the same.

    With a fault `repaired`, signs, codes and checks are those since. `tools` is None while nobody said what there is.
    One is told from another by being another, not by what it holds: comparing that takes as long as ranking it.
    """

    facts: Facts
    candidates: tuple[Candidate, ...]
    touched: tuple[Touched, ...]
    signs: tuple[tuple[str, str], ...]
    codes: tuple[str, ...] | None
    checks: tuple[CheckResult, ...]
    taught: tuple[tuple[str, int], ...]
    tools: frozenset[Need] | None = None
    overrules: tuple[Overrule, ...] = ()
    repaired: Repaired | None = None

    @property
    def evidence(self) -> Evidence:
        """What was seen, as triage takes it."""
        return Evidence(dict(self.signs), self.codes, self.checks, self.repaired)

    def candidate(self, candidate_id: str) -> Candidate | None:
        """The candidate of that id; None for a stranger."""
        return next((one for one in self.candidates if one.id == candidate_id), None)

    def outcome(self, sign: str) -> str | None:
        """What was seen of a sign last, before a repair or since; None if nothing was."""
        before = self.repaired.signs if self.repaired else {}
        return dict(self.signs).get(sign) or before.get(sign)


def field_of(candidate: Candidate) -> Literal["line", "component", "suspect", "own_suspect"]:
    """Which field of a record names this candidate."""
    if isinstance(candidate.role, Role):
        return "line"
    if candidate.behaves_like is not None:
        return "own_suspect"
    return "suspect" if candidate.id == candidate.role.value else "component"


@lru_cache(maxsize=256)
def ranked(case: Case) -> Ranking:
    """The suspects of a case, best first, and what to do next. Kept, since a ticket is looked at more than changed."""
    return rank(
        case.facts,
        case.candidates,
        case.touched,
        case.evidence,
        dict(case.taught),
        overrules=case.overrules,
        at_hand=AtHand(case.tools),
    )


@lru_cache(maxsize=32)
def weighing_of(case: Case) -> Weighing:
    """The same case, weighed: what its suspects' waterfalls are drawn from, one after the other. Kept as above."""
    return weighing(
        case.facts, case.candidates, case.touched, case.evidence, dict(case.taught), overrules=case.overrules
    )


def ranking(connection: Connection, car: CarRow, ticket: TicketRow) -> Ranking:
    """The suspects of one ticket as the record stands."""
    return ranked(weighed(connection, car, [ticket])[ticket.id].case)


def cases(connection: Connection, car: CarRow, tickets: Sequence[TicketRow]) -> dict[str, Case]:
    """What each ticket's ranking rests on, by ticket. The number of queries does not grow with the tickets."""
    return {ticket: one.case for ticket, one in weighed(connection, car, tickets).items()}


@dataclass(frozen=True, slots=True)
class Weighed:
    """A case with the records it was made of.

    `jobs`: for each of the case's touches, the job that made it. `until`: the moment up to which touches count.
    `first`: the fault repaired before, where one was; then the first `since` touches were made after it was noticed.
    """

    case: Case
    signs: list[SignRow]
    checks: list[CheckRow]
    jobs: tuple[str, ...]
    until: str
    first: Mended | None
    since: int


def weighed(connection: Connection, car: CarRow, tickets: Sequence[TicketRow]) -> Mapping[str, Weighed]:
    """Each ticket's case with the records behind it, by ticket, in a fixed number of queries."""
    return _weighed(connection, car, tuple(tickets)) if tickets else {}


@kept
def _weighed(connection: Connection, car: CarRow, tickets: tuple[TicketRow, ...]) -> Mapping[str, Weighed]:
    ids = [ticket.id for ticket in tickets]
    things, stopgaps = things_of(connection, car.id), stopgaps_of(connection, car.id)
    mended = mended_before(connection, tickets)
    untils = {ticket.id: noticed(ticket, mended.get(ticket.id)) for ticket in tickets}
    whens = [[ticket.id, untils[ticket.id], ticket.noticed_at, car.id] for ticket in tickets]
    touches = _by_ticket(rows(connection, _Touch, _TOUCHES, json.dumps(whens)))
    signs = _by_ticket(signs_of(connection, ids))
    checks = _by_ticket(checks_of(connection, ids))
    closed = lessons(connection)
    facts, tools, graded = facts_of(car), tools_there(connection), overrules(connection, car.id)
    standing = (*own_candidates(connection, car.id), *standing_candidates(facts))
    unjudged = any(sign.outcome is None and sign.reading for noted in signs.values() for sign in noted)
    usual = baselines(connection, car.id) if unjudged else {}
    found = {}
    for ticket in tickets:
        until = untils[ticket.id]
        candidates = (*candidates_at(things, stopgaps, until), *standing)
        known = {candidate.id for candidate in candidates}
        before = [touch for touch in touches.get(ticket.id, []) if touch.thing in known]
        noted, made = signs.get(ticket.id, []), checks.get(ticket.id, [])
        seen = seen_of(mended.get(ticket.id), noted, made, known)
        case = Case(
            facts,
            candidates,
            tuple(_touched(ticket, until, car, touch) for touch in before),
            outcomes(seen.signs, usual),
            codes_of(seen.signs),
            results(seen.checks, known),
            taught(closed, ticket.id),
            tools,
            graded,
            seen.repaired(known, usual),
        )
        since = sum(touch.at > ticket.noticed_at for touch in before)
        found[ticket.id] = Weighed(case, noted, made, tuple(touch.job for touch in before), until, seen.first, since)
    return found


def facts_of(car: CarRow) -> Facts:
    """The facts of a car that change what a fault looks like."""
    return Facts(
        Layout(car.layout),
        cast(Fuel, car.fuel),
        bool(car.has_airflow_meter),
        bool(car.throttle_vacuum),
        bool(car.turbocharged),
    )


class _OfTicket(Protocol):
    @property
    def ticket(self) -> str: ...


Of = TypeVar("Of", bound=_OfTicket)


def _by_ticket(found: Sequence[Of]) -> dict[str, list[Of]]:
    by: dict[str, list[Of]] = {}
    for one in found:
        by.setdefault(one.ticket, []).append(one)
    return by


@dataclass(frozen=True, slots=True)
class _Touch:
    ticket: str
    id: str
    job: str
    thing: str
    how: str
    at: str
    reads: float | None
    air_temp_c: float | None
    checked: int


# Whether it was checked by when the fault it may have brought about was noticed.
_TOUCHES = f"""
WITH x AS MATERIALIZED (
  SELECT value ->> 0 AS id, value ->> 1 AS until, value ->> 2 AS noticed, value ->> 3 AS car FROM json_each(?))
SELECT x.id, t.id, t.job, coalesce(t.line, t.component), t.how, t.at,
       coalesce(job.odometer, (SELECT reads FROM odometer WHERE car = job.car AND at <= t.at ORDER BY at DESC LIMIT 1)),
       job.air_temp_c, {CHECKED.format(at="iif(t.at <= x.noticed, x.noticed, x.until)")}
FROM x
JOIN touch t ON t.car = x.car AND t.void_reason IS NULL AND t.at <= x.until
  AND t.at >= strftime('%Y-%m-%dT%H:%M:%fZ', x.until, '-{TOUCHES_COUNT_FOR.days} days')
JOIN job ON job.id = t.job AND job.void_reason IS NULL
ORDER BY x.id, t.at DESC, t.id
"""


def _touched(ticket: TicketRow, until: str, car: CarRow, touch: _Touch) -> Touched:
    since = datetime.fromisoformat(before_what(ticket, until, touch.at)) - datetime.fromisoformat(touch.at)
    # How far the car went between a touch made since and the second fault, nobody wrote down.
    known = ticket.reads is not None and touch.reads is not None and touch.at <= ticket.noticed_at
    further = max((ticket.reads or 0.0) - (touch.reads or 0.0), 0.0) if known else None
    return Touched(
        touch.thing,
        TouchKind(touch.how),
        since / timedelta(days=1),
        None if further is None else further * KM_PER[car.distance_unit],
        touch.air_temp_c,
        checked=bool(touch.checked),
    )


def made_of(checks: Iterable[CheckRow]) -> tuple[tuple[str, str], ...]:
    """Which checks were made: (candidate, method), each once."""
    return tuple(dict.fromkeys((check.candidate, check.method) for check in checks))


def before_what(ticket: TicketRow, until: str, at: str) -> str:
    """The moment a touch made at `at` lies before: when the fault was noticed, or, made since, when the second was."""
    return ticket.noticed_at if at <= ticket.noticed_at else until
