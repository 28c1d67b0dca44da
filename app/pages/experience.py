"""What a car's fitter and this garage's closed tickets know better than the table, listed; each can be taken out."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.forms import Form
from app.pages.laid import Laid
from app.pages.shell import garage_of, page, see
from app.pages.which import the_car
from app.records import experience as record
from app.records.car_known import filled
from app.records.known import Known
from app.records.lessons import Lesson, lessons
from app.records.tickets import ticket_and_car
from app.triage.codes import GROUP_LABEL
from app.triage.knowledge.table import OUTCOMES
from app.triage.signs import CODES, SIGNS

router = APIRouter()


def _phrase(sign: str, outcome: str) -> str:
    words = GROUP_LABEL[outcome] if sign == CODES else SIGNS[sign].phrase(outcome)
    return words[:1].upper() + words[1:]


#: How one answer of a sign reads.
PHRASES: dict[tuple[str, str], str] = {
    (sign, outcome): _phrase(sign, outcome) for sign, outcomes in OUTCOMES.items() for outcome in outcomes
}
GRADE_LABEL = {key: grade.words for key, grade in record.GRADES.items()}
_LABELS: dict[str, dict[str, str]] = {
    "kind": record.KIND_LABEL,
    "grade": GRADE_LABEL,
    "likely": dict(record.LIKELY_LABEL.items()),
}
#: On the phone an answer's words are looked up like a record's.
_FOLLOWS = {"overrule": {"said": {"first": ["outcome/{sign}.{outcome} phrase"]}}}


@dataclass(frozen=True, slots=True)
class Taught:
    """One cause with the closed tickets that found it; `times` of them count."""

    cause: str
    label: str
    lessons: Sequence[Lesson]

    @property
    def times(self) -> int:
        """How many of them teach."""
        return sum(one.teaches for one in self.lessons)


@router.get("/cars/{car_id}/experience")
def show(request: Request, car_id: str) -> Response:
    """What closed tickets taught, the suspects of one's own, the grades overruled."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        closed, own = lessons(db), record.own_suspects(db, car_id)
        graded = record.overrule_rows(db, car_id)
    known = _known(closed, own, graded)
    return page(
        request,
        "experience/show.html",
        car=car,
        taught=_taught(closed),
        own=own,
        graded=graded,
        known=known,
        labels=_LABELS,
        follows=_FOLLOWS,
        laid=Laid(known, _LABELS),
    )


@router.post("/cars/{car_id}/experience/lessons/{ticket_id}")
def teach(request: Request, car_id: str, ticket_id: str, form: Form) -> Response:
    """A closed ticket teaches the next ones, or does not."""
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
        if ticket_and_car(db, ticket_id) is None:
            raise HTTPException(404, "There is no such ticket.")
    garage.take(form.make("ticket", ticket_id, {"teaches": form["teaches"] != "no"}))
    return see(f"/cars/{car_id}/experience")


def _taught(closed: Iterable[Lesson]) -> list[Taught]:
    by: dict[str, list[Lesson]] = {}
    for one in closed:
        if one.cause is not None:
            by.setdefault(one.cause, []).append(one)
    return sorted(
        (Taught(cause, record.KIND_LABEL[cause], found) for cause, found in by.items()), key=lambda one: one.label
    )


def _known(
    closed: Iterable[Lesson], own: Iterable[record.OwnSuspectRow], graded: Iterable[record.OverruleRow]
) -> Known:
    known: Known = {}
    for lesson in closed:
        told = {"what": lesson.what, "found": lesson.found_label, "proved_at": lesson.proved_at, "car": lesson.car}
        known[f"ticket/{lesson.ticket}"] = filled(told.items()) | {"teaches": "yes" if lesson.teaches else "no"}
    for one in own:
        known[f"own_suspect/{one.id}"] = filled(asdict(one).items())
    for row in graded:
        said = ("said", PHRASES[row.sign, row.outcome])
        known[f"overrule/{row.id}"] = filled([*asdict(row).items(), said])
    known |= {f"outcome/{sign}.{outcome}": {"phrase": phrase} for (sign, outcome), phrase in PHRASES.items()}
    return known
