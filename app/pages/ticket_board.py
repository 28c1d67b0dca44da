"""What a ticket's page shows: the question worth most, the suspects with their reasons, the checks, and every sign."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fastapi import HTTPException
from sqlalchemy import Connection

from app.airpath.readings import READINGS, Condition, KindOfReading, ReadingKind
from app.pages.words import number
from app.records.baselines import BaselineView, baselines
from app.records.cars import CarRow
from app.records.cautions import do_not_drive, off_full_throttle
from app.records.judged import READING_OF, Read, read_of, told_of, usual
from app.records.kept import kept
from app.records.signs import SignRow
from app.records.suspects import Case, Weighed, field_of, ranked, weighed
from app.records.tickets import TicketRow, ticket_and_car
from app.triage.answers import NextStep, RankedSuspect, Ranking
from app.triage.checks import how_to, what_a_pass_is
from app.triage.codes import NO_CODES
from app.triage.inputs import Candidate
from app.triage.signs import CODES, NEED_LABEL, RUNNING_ENGINE, SIGNS, Need

#: How many suspects and checks stand in the open; the rest are a tap away.
IN_THE_OPEN = 5
CHECKS_SHOWN = 3
_CHECKS_MORE = 9
_CODES_MINUTES = 4
_BEFORE = "Before the repair: "


@dataclass(frozen=True, slots=True)
class Gauge:
    """A reading to take: its kind and condition, and the unit and basis it is most likely read in."""

    what: ReadingKind
    kind: KindOfReading
    condition: Condition
    unit: str
    basis: str | None


@dataclass(frozen=True, slots=True)
class SignView:
    """One sign as asked. `chosen` is its outcome's key, `answer` how that reads; `noted` though nobody could tell.

    `choices` are (outcome, label); trouble codes have none but are typed. `told` says how a reading was judged;
    `worked_out`: from figures, on a page of its own.
    """

    key: str
    label: str
    question: str
    choices: tuple[tuple[str, str], ...]
    about: str
    caution: str
    gauges: tuple[Gauge, ...]
    chosen: str | None
    answer: str | None
    noted: bool
    told: str | None
    worked_out: bool = False


@dataclass(frozen=True, slots=True)
class CheckView:
    """One direct check to make: `field` is the record's field that names the candidate."""

    step: NextStep
    field: str
    about: str
    how: tuple[str, ...]
    passes: str
    unclear: bool


@dataclass(frozen=True, slots=True)
class Board:
    """A ticket's page. `ask` is None when no question is left that tells anything.

    `made` are the ids of the checks made, newest first. `until`: the moment up to which touches count.
    """

    ticket: TicketRow
    car: CarRow
    case: Case
    ranking: Ranking
    ask: SignView | None
    signs: tuple[SignView, ...]
    checks: tuple[CheckView, ...]
    made: tuple[str, ...]
    do_not_drive: str | None
    off_full_throttle: str | None
    until: str

    @property
    def answered(self) -> int:
        """How many signs say something."""
        return sum(sign.chosen is not None for sign in self.signs)

    def sign(self, key: str) -> SignView | None:
        """One sign of this car's layout."""
        return next((sign for sign in self.signs if sign.key == key), None)

    def field(self, suspect: RankedSuspect) -> str:
        """Which field of a record names a suspect: line, component or suspect."""
        found = self.case.candidate(suspect.id)
        return field_of(found) if found else "suspect"


def the_ticket(db: Connection, ticket_id: str) -> tuple[TicketRow, CarRow]:
    """The ticket of that id with its car. Raises HTTPException 404."""
    found = ticket_and_car(db, ticket_id)
    if found is None:
        raise HTTPException(404, "There is no such ticket.")
    return found


@kept
def board(db: Connection, ticket: TicketRow, car: CarRow) -> Board:
    """A ticket's page from what its ranking rests on and the car's own baselines, in a fixed number of queries."""
    found, own = weighed(db, car, [ticket])[ticket.id], baselines(db, car.id)
    case = found.case
    ranking = ranked(case)
    signs = _signs(found, own)
    return Board(
        ticket,
        car,
        case,
        ranking,
        _ask(ranking, signs),
        signs,
        _checks(ranking, found),
        tuple(check.id for check in reversed(found.checks)),
        do_not_drive(ticket, case),
        off_full_throttle(ticket, case),
        found.until,
    )


def _ask(ranking: Ranking, signs: Sequence[SignView]) -> SignView | None:
    # What nobody could tell is not asked again: it waits among all the signs.
    open_signs = {sign.key: sign for sign in signs if not sign.noted}
    return next((open_signs[step.key] for step in ranking.next if step.kind == "ask" and step.key in open_signs), None)


def _checks(ranking: Ranking, found: Weighed) -> tuple[CheckView, ...]:
    unclear = {(check.candidate, check.method) for check in found.checks if check.result == "unclear"}
    views = []
    for step in ranking.next:
        candidate = found.case.candidate(step.candidate_id or "")
        if step.kind == "check" and candidate is not None:
            views.append(check_view(step, candidate, unclear=(candidate.id, step.key) in unclear))
    # One that did not tell comes again, but after those nobody has tried.
    return tuple(sorted(views, key=lambda view: view.unclear))[:_CHECKS_MORE]


def check_view(step: NextStep, candidate: Candidate, *, unclear: bool) -> CheckView:
    """How one check is made."""
    return CheckView(
        step,
        field_of(candidate),
        _about(step.minutes, step.needs),
        how_to(candidate, step.key),
        what_a_pass_is(candidate, step.key),
        unclear,
    )


def _about(minutes: float, needs: Sequence[Need]) -> str:
    return " · ".join([f"{minutes:.0f} min", *(NEED_LABEL[need] for need in needs)])


def _signs(found: Weighed, own: Mapping[str, BaselineView]) -> tuple[SignView, ...]:
    # What was noted before a first fault was repaired is asked again.
    first = found.first
    noted = {sign.sign: sign for sign in found.signs if first is None or sign.noted_at > first.repaired_at}
    before = {sign.sign: sign for sign in found.signs if sign.sign not in noted}
    case, answers = found.case, dict(found.case.signs)
    views = [
        _sign(key, noted.get(key), answers.get(key), own, _was(case, key))
        for key, sign in SIGNS.items()
        if sign.asked_on(case.facts) or sign.worked_out
    ]
    return (*views, _codes(noted.get(CODES), before.get(CODES)))


def _was(case: Case, key: str) -> str | None:
    outcome = case.repaired.signs.get(key) if case.repaired else None
    return next((f"{_BEFORE}{one.label}" for one in SIGNS[key].outcomes if one.key == outcome), None)


def _sign(
    key: str, row: SignRow | None, chosen: str | None, own: Mapping[str, BaselineView], was: str | None
) -> SignView:
    sign = SIGNS[key]
    labels = {outcome.key: outcome.label for outcome in sign.outcomes}
    read = row and read_of(row)
    usually = usual(key, own)
    return SignView(
        key,
        sign.label,
        sign.question,
        tuple(labels.items()),
        " · ".join(part for part in (usually, _about(sign.minutes, sign.needs)) if part),
        sign.caution,
        tuple(_gauge(kind, own) for kind in READING_OF.get(key, ())),
        chosen,
        labels[chosen] if chosen else was if row is None else None,
        row is not None,
        _told(key, read, chosen, own) if read else None,
        sign.worked_out,
    )


def _told(key: str, read: Read, chosen: str | None, own: Mapping[str, BaselineView]) -> str:
    phrase = SIGNS[key].phrase(chosen) if chosen else None
    return told_of(read.what, own).sentence(f"{number(read.value)} {read.unit}", phrase)


def _gauge(what: ReadingKind, own: Mapping[str, BaselineView]) -> Gauge:
    kind = READINGS[what]
    for view in own.values():
        if view.what is what:
            return Gauge(what, kind, kind.conditions[0], view.unit, view.basis)
    return Gauge(what, kind, kind.conditions[0], kind.units[0], kind.bases[0] if kind.bases else None)


def _codes(row: SignRow | None, before: SignRow | None) -> SignView:
    chosen, was = row.outcome if row else None, before.outcome if before else None
    return SignView(
        CODES,
        "Trouble codes",
        "Which trouble codes are stored?",
        (),
        _about(_CODES_MINUTES, (Need.CODE_READER,)),
        RUNNING_ENGINE,
        (),
        chosen,
        _stored(chosen) if row else f"{_BEFORE}{_stored(was)}" if was else None,
        row is not None,
        None,
    )


def _stored(codes: str | None) -> str | None:
    return "None stored" if codes == NO_CODES else codes
