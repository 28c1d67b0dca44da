"""From the record to triage: what the ranking of a ticket rests on, and what it says."""

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Literal, Protocol, TypeVar, cast

from sqlalchemy import Connection

from app.airpath.words import SUSPECT_OF_COMPONENT, ComponentKind, Layout, Role, Suspect, TouchKind
from app.records.baselines import baselines
from app.records.candidates import candidates_at, stopgaps_of, things_of
from app.records.cars import CarRow
from app.records.judged import outcomes
from app.records.kept import kept
from app.records.rows import rows
from app.records.signs import CheckRow, SignRow, checks_of, codes_of, signs_of
from app.records.tickets import TicketRow
from app.records.touches import CHECKED
from app.triage.facts import Facts, Fuel
from app.triage.inputs import Candidate, CheckOutcome, CheckResult, Evidence, Touched
from app.triage.model import Ranking, rank, standing_candidates

#: A touch this long before the fault has long shown what it did.
TOUCHES_COUNT_FOR = timedelta(days=400)
#: NIST SP 811 (2008) Appendix B.8.
KM_PER = {"km": 1.0, "mi": 1.609344}

_RESULTS: dict[str, CheckOutcome] = {"fault": "fault", "sound": "fine"}


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """All that the ranking of one ticket rests on: the same case always ranks the same.

    One is told from another by being another, not by what it holds: comparing that takes as long as ranking it.
    """

    facts: Facts
    candidates: tuple[Candidate, ...]
    touched: tuple[Touched, ...]
    signs: tuple[tuple[str, str], ...]
    codes: tuple[str, ...] | None
    checks: tuple[CheckResult, ...]
    taught: tuple[tuple[str, int], ...]

    def candidate(self, candidate_id: str) -> Candidate | None:
        """The candidate of that id; None for a stranger."""
        return next((one for one in self.candidates if one.id == candidate_id), None)

    def outcome(self, sign: str) -> str | None:
        """What was seen of a sign; None if nothing was."""
        return dict(self.signs).get(sign)


def field_of(candidate: Candidate) -> Literal["line", "component", "suspect"]:
    """Which field of a record names this candidate."""
    if isinstance(candidate.role, Role):
        return "line"
    return "suspect" if candidate.id == candidate.role.value else "component"


@lru_cache(maxsize=256)
def ranked(case: Case) -> Ranking:
    """The suspects of a case, best first, and what to do next. Kept, since a ticket is looked at more than changed."""
    evidence = Evidence(dict(case.signs), case.codes, case.checks)
    return rank(case.facts, case.candidates, case.touched, evidence, dict(case.taught))


def ranking(connection: Connection, car: CarRow, ticket: TicketRow) -> Ranking:
    """The suspects of one ticket as the record stands."""
    return ranked(weighed(connection, car, [ticket])[ticket.id].case)


def cases(connection: Connection, car: CarRow, tickets: Sequence[TicketRow]) -> dict[str, Case]:
    """What each ticket's ranking rests on, by ticket. The number of queries does not grow with the tickets."""
    return {ticket: one.case for ticket, one in weighed(connection, car, tickets).items()}


@dataclass(frozen=True, slots=True)
class Weighed:
    """A case with the records it was made of. `jobs`: for each of the case's touches, the job that made it."""

    case: Case
    signs: list[SignRow]
    checks: list[CheckRow]
    jobs: tuple[str, ...]


def weighed(connection: Connection, car: CarRow, tickets: Sequence[TicketRow]) -> Mapping[str, Weighed]:
    """Each ticket's case with the records behind it, by ticket, in a fixed number of queries."""
    return _weighed(connection, car, tuple(tickets)) if tickets else {}


@kept
def _weighed(connection: Connection, car: CarRow, tickets: tuple[TicketRow, ...]) -> Mapping[str, Weighed]:
    ids = [ticket.id for ticket in tickets]
    things, stopgaps = things_of(connection, car.id), stopgaps_of(connection, car.id)
    whens = [[ticket.id, ticket.noticed_at, car.id] for ticket in tickets]
    touches = _by_ticket(rows(connection, _Touch, _TOUCHES, json.dumps(whens)))
    signs = _by_ticket(signs_of(connection, ids))
    checks = _by_ticket(checks_of(connection, ids))
    lessons = rows(connection, _Lesson, _LESSONS)
    facts = facts_of(car)
    unjudged = any(sign.outcome is None and sign.reading for noted in signs.values() for sign in noted)
    usual = baselines(connection, car.id) if unjudged else {}
    found = {}
    for ticket in tickets:
        candidates = (*candidates_at(things, stopgaps, ticket.noticed_at), *standing_candidates(facts))
        known = {candidate.id for candidate in candidates}
        before = [touch for touch in touches.get(ticket.id, []) if touch.thing in known]
        noted, made = signs.get(ticket.id, []), checks.get(ticket.id, [])
        case = Case(
            facts,
            candidates,
            tuple(_touched(ticket, car, touch) for touch in before),
            outcomes(noted, usual),
            codes_of(noted),
            _results(check for check in made if check.candidate in known),
            _taught(lessons, ticket.id),
        )
        found[ticket.id] = Weighed(case, noted, made, tuple(touch.job for touch in before))
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


_TOUCHES = f"""
WITH x AS MATERIALIZED (
  SELECT value ->> 0 AS id, value ->> 1 AS noticed_at, value ->> 2 AS car FROM json_each(?))
SELECT x.id, t.id, t.job, coalesce(t.line, t.component), t.how, t.at,
       coalesce(job.odometer, (SELECT reads FROM odometer WHERE car = job.car AND at <= t.at ORDER BY at DESC LIMIT 1)),
       job.air_temp_c, {CHECKED.format(at="x.noticed_at")}
FROM x
JOIN touch t ON t.void_reason IS NULL AND t.at <= x.noticed_at
  AND t.at >= strftime('%Y-%m-%dT%H:%M:%fZ', x.noticed_at, '-{TOUCHES_COUNT_FOR.days} days')
JOIN job ON job.id = t.job AND job.car = x.car AND job.void_reason IS NULL
ORDER BY x.id, t.at DESC, t.id
"""


def _touched(ticket: TicketRow, car: CarRow, touch: _Touch) -> Touched:
    since = datetime.fromisoformat(ticket.noticed_at) - datetime.fromisoformat(touch.at)
    further = None if ticket.reads is None or touch.reads is None else max(ticket.reads - touch.reads, 0.0)
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


def _results(checks: Iterable[CheckRow]) -> tuple[CheckResult, ...]:
    # Two looks at one hose are not two witnesses: the later one counts.
    last = {(check.candidate, check.method): check.result for check in checks}
    return tuple(
        CheckResult(candidate, method, _RESULTS[result])
        for (candidate, method), result in last.items()
        if result in _RESULTS
    )


@dataclass(frozen=True, slots=True)
class _Lesson:
    ticket: str
    role: str | None
    kind: str | None
    suspect: str | None


_LESSONS = """
SELECT t.id, l.role, c.kind, t.found_suspect FROM ticket t
LEFT JOIN line l ON l.id = t.found_line LEFT JOIN component c ON c.id = t.found_component
WHERE t.stands = 'proved' AND t.void_reason IS NULL
"""


def _taught(lessons: Sequence[_Lesson], ticket: str) -> tuple[tuple[str, int], ...]:
    # A ticket never teaches itself: seen again, it would have known its own answer.
    counts = Counter(cause for lesson in lessons if lesson.ticket != ticket and (cause := _cause(lesson)))
    return tuple(sorted(counts.items()))


def _cause(lesson: _Lesson) -> str | None:
    if lesson.kind is not None:
        return SUSPECT_OF_COMPONENT.get(ComponentKind(lesson.kind), Suspect.SOMETHING_ELSE).value
    return lesson.role or lesson.suspect
