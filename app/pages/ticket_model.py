"""The model by which the phone ranks a ticket's suspects itself (static/bay/board.js), in two parts.

The car's, which the phone keeps once for all its tickets, and the ticket's own, which its page carries.
"""

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from sqlalchemy import Connection

from app.airpath.readings import READINGS, ReadingKind
from app.airpath.words import Suspect, TouchKind
from app.pages.kept_for_good import kept_at, mark_of
from app.pages.own_suspects import kinds_on
from app.records import cautions
from app.records.baselines import BaselineView, baselines
from app.records.candidates import candidates_at, things_of
from app.records.cars import CarRow
from app.records.experience import own_candidates
from app.records.jobs import open_jobs
from app.records.judged import READING_OF, outcome_of, read_of, told_of
from app.records.kept import kept_today
from app.records.kinds.reading import series_of
from app.records.logbook import now
from app.records.second_fault import Mended
from app.records.si import ambient_kpa
from app.records.signs import SignRow
from app.records.suspects import KM_PER, TOUCHES_COUNT_FOR, Case, Weighed, facts_of, field_of, made_of
from app.records.tickets import TicketRow
from app.records.touches import touches_between
from app.triage.inputs import HOW_LIKELY, Candidate, Touched
from app.triage.model import standing_candidates, with_standing
from app.triage.plain_numbers import Plain, plain_car, plain_case, plain_touches
from app.triage.plain_readings import LOW, plain_readings
from app.triage.plain_sheets import not_there
from app.triage.priors import OFTEN, WORTH_SAYING, Prior, taught_reason, weigh
from app.triage.signs import SIGNS

Json = dict[str, Plain]


_DIGITS = 10  # few figures, which compress well; far finer than a ranking is held to


@dataclass(frozen=True, slots=True)
class CarModel:
    """What every ticket of a car rests on, as JSON, and a mark of it: a phone that has the one needs no other."""

    car: str
    mark: str
    text: str

    @property
    def address(self) -> str:
        """Where a page finds it; it may be kept for good."""
        return kept_at(self.car, "model", self.mark)


@kept_today
def car_model(db: Connection, car: CarRow) -> CarModel:
    """The part of the model that is the same for all of a car's tickets, in a fixed number of queries."""
    facts, own = facts_of(car), baselines(db, car.id)
    things = candidates_at(things_of(db, car.id), (), now())
    candidates = (*things, *own_candidates(db, car.id), *standing_candidates(facts))
    possible = _possible(car)
    everyone = (*with_standing(facts, candidates), *possible.values())
    before: list[Json] = [
        {"prior": prior.weight, "why": _reasons(prior)} for prior in weigh(everyone, (), {})[-len(possible) :]
    ]
    numbers, added = _apart(plain_car(facts, everyone), len(possible))
    model: Json = numbers | {
        "possible": {key: one | more for key, one, more in zip(possible, added, before, strict=True)},
        "likely": {key: [HOW_LIKELY[key], often] for key, often in OFTEN.items()},
        "taught": [taught_reason(0.5), taught_reason(2.0), WORTH_SAYING],
        "fields": [field_of(candidate) for candidate in candidates],
        "answers": {key: {one.key: one.label for one in sign.outcomes} for key, sign in SIGNS.items()},
        "car": car.id,
        "km": KM_PER[car.distance_unit],
        "days": TOUCHES_COUNT_FOR.days,
        "readings": _readings(car, own),
        "dangers": _dangers(candidates),
    }
    text = json.dumps(model, ensure_ascii=False, separators=(",", ":"))
    return CarModel(car.id, mark_of(text), text)


def model_of(db: Connection, car: CarRow, ticket: TicketRow, found: Weighed, own: Mapping[str, BaselineView]) -> Json:
    """What of the model belongs to one ticket, and the address of the rest."""
    case = found.case
    numbers = _numbers(case, tuple(_known_checks(found)))
    jobs = {job.id: [job.odometer, job.air_temp_c] for job in open_jobs(db, car.id)}
    return {
        **numbers,
        "learned": _learned(car, case),
        "of": car_model(db, car).address,
        # A job still open may take its touches back, so each of its touches names it.
        "touches": [
            [*_list(touch), job] if job in jobs else touch
            for touch, job in zip(_list(numbers["touches"]), found.jobs, strict=True)
        ],
        "jobs": jobs,
        "lacking": not_there(case.tools),
        "noticed": ticket.noticed_at,
        "until": found.until,
        "since": found.since,
        # Of one long proved that would be half the car's record.
        "later": [] if ticket.stands == "proved" else _later(db, car, found),
        "told": _told(ticket, found.first),
        "reads": ticket.reads,
        "judged": {sign.reading: _judged(sign, own) for sign in found.signs if sign.reading},
    }


def _possible(car: CarRow) -> dict[str, Candidate]:
    """One suspect of each kind that a person may add, as likely as a usual one; it takes nothing from the others."""
    return {key: Candidate("", Suspect.SOMETHING_ELSE, "", behaves_like=key) for key, _ in kinds_on(car)}


@lru_cache(maxsize=64)
def _numbers(case: Case, made: tuple[tuple[str, str], ...]) -> Mapping[str, Plain]:
    return plain_case(case.facts, case.candidates, case.touched, dict(case.taught), made)


@lru_cache(maxsize=64)
def _learned(car: CarRow, case: Case) -> list[Plain]:
    """What closed tickets teach of each kind that a person may add: the usual factor, and those that differ from it."""
    possible = _possible(car)
    everyone = (*with_standing(case.facts, case.candidates), *possible.values())
    priors = weigh(everyone, (), dict(case.taught))[-len(possible) :]
    factors = {key: round(prior.learned, _DIGITS) for key, prior in zip(possible, priors, strict=True)}
    [(usual, _)] = Counter(factors.values()).most_common(1)
    return [usual, {key: by for key, by in factors.items() if by != usual}]


def _apart(numbers: Mapping[str, Plain], last: int) -> tuple[Json, list[Json]]:
    """The numbers without those nobody added yet, which come last, and these (static/bay/model.js adds one)."""
    everyone = _list(numbers["candidates"])
    added = [dict(one) for one in everyone[-last:] if isinstance(one, Mapping)]
    return {**numbers, "candidates": everyone[:-last]}, added


def _reasons(prior: Prior) -> list[Plain]:
    return [[round(one.by, _DIGITS), one.reason] for one in prior.factors]


def _told(ticket: TicketRow, first: Mended | None) -> list[Plain]:
    """What was found, when, and when it was repaired: of the fault repaired before a reopening, and of the last one."""
    last = [ticket.found_at or "", ticket.found_id or "", ticket.repaired_at or ""]
    before = [] if first is None else [[first.repaired_at, first.thing, first.repaired_at]]
    return [*before, last] if any(last) else list(before)


def _later(db: Connection, car: CarRow, found: Weighed) -> list[Plain]:
    """What was touched since: were the ticket reopened after a repair, it would count. The moment in place of days."""
    everyone = with_standing(found.case.facts, found.case.candidates)
    known = {candidate.id for candidate in everyone}
    made = [(one, one.line or one.component or "") for one in touches_between(db, car.id, found.until, now())]
    made = [(one, thing) for one, thing in made if thing in known]
    touched = (
        Touched(thing, TouchKind(one.how), temp_c=one.air_temp_c, checked=bool(one.checked)) for one, thing in made
    )
    return [
        [place, how, one.at, *rest, one.job]
        for (one, _), (place, how, _days, *rest) in zip(made, plain_touches(everyone, touched), strict=True)
    ]


def _list(value: Plain) -> list[Plain]:
    return list(value) if isinstance(value, list) else []


def _known_checks(found: Weighed) -> list[tuple[str, str]]:
    known = {candidate.id for candidate in found.case.candidates}
    return [(candidate, method) for candidate, method in made_of(found.checks) if candidate in known]


def _readings(car: CarRow, own: Mapping[str, BaselineView]) -> Json:
    """How a figure taken on this page is judged: in the air at the car's own height, under the usual condition."""
    usual = {
        kind: own[series].usual for kind in READINGS if (series := series_of(kind, READINGS[kind].conditions[0])) in own
    }
    judged = plain_readings(usual, ambient_kpa((None, None, car.altitude_m)))
    answers = {kind: sign for sign, kinds in READING_OF.items() for kind in kinds}
    found: Json = {}
    for kind, sign in answers.items():
        told = told_of(kind, own)
        rules = judged.get(kind.value)
        words: Json = {"sign": sign, "held": told.held, "unjudged": told.unjudged}
        found[kind.value] = words | (rules if isinstance(rules, dict) else {})
    return found


def _judged(sign: SignRow, own: Mapping[str, BaselineView]) -> Plain:
    """What a reading of the record says of its sign; it may have been taken in other air than the car's own."""
    read = read_of(sign)
    if read is None:
        return None
    said = outcome_of(sign.sign, read, own, None)
    return LOW if said is None and read.what is ReadingKind.FIRST_START_VACUUM else said


def _dangers(candidates: Sequence[Candidate]) -> Json:
    roles = sorted({candidate.role.value for candidate in candidates})
    seen = (
        (cautions.HARD_PEDAL, "drive", cautions.HARD_PEDAL_SAYS),
        (cautions.OVER_TARGET, "throttle", cautions.OVER_TARGET_SAYS),
    )
    return {
        "seen": [[kind, sign, outcome, list[Plain](states), says] for (sign, outcome, states), kind, says in seen],
        "suspected": {str(roles.index(role)): cautions.suspected(role) for role in cautions.DANGER if role in roles},
        "from": cautions.LEADING,
        "found": {
            candidate.id: cautions.at_fault(candidate.role.value)
            for candidate in candidates
            if candidate.role.value in cautions.DANGER and not isinstance(candidate.role, Suspect)
        },
    }
