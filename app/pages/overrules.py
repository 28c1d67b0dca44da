"""A grade of the table overruled for one car: said, struck out, put back."""

from dataclasses import dataclass

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.experience import GRADE_LABEL, PHRASES
from app.pages.forms import EMPTY, Filled, Form
from app.pages.own_suspects import kinds_on
from app.pages.shell import garage_of, page, see
from app.pages.which import the_car
from app.records.cars import CarRow
from app.records.experience import KIND_LABEL
from app.records.record_heads import head_of
from app.records.suspects import facts_of
from app.triage.knowledge.table import OUTCOMES
from app.triage.signs import CODES, SIGNS

router = APIRouter()

_FIELDS = ("kind", "sign", "outcome", "grade", "note")


@dataclass(frozen=True, slots=True)
class _Sign:
    """One sign of the car with its answers, as pairs of key and label."""

    key: str
    label: str
    answers: list[tuple[str, str]]


@router.get("/cars/{car_id}/overrules/new")
def blank(request: Request, car_id: str) -> Response:
    """Every sign of the car, each with its empty form."""
    return _page(request, car_id, EMPTY)


@router.post("/cars/{car_id}/overrules/new")
def overrule(request: Request, car_id: str, form: Form) -> Response:
    """Take it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
    of = [form[name] for name in ("kind", "sign", "outcome")]
    is_known = of[0] in KIND_LABEL and (of[1], of[2]) in PHRASES
    record = ".".join([car_id, *of]) if is_known else f"{car_id}.none"  # the door says what is wrong with it
    outcome = garage.take(form.entry("overrule", record, {"car": car_id, "void_reason": None}, only=_FIELDS))
    if outcome.outcome == "refused":
        return _page(request, car_id, form.again(outcome.reasons), 422)
    return see(f"/cars/{car_id}/experience")


@router.post("/overrules/{record}/off")
def strike_out(request: Request, record: str, form: Form) -> Response:
    """The table's own grade counts again."""
    return _set(request, record, form, "Overruled no longer")


@router.post("/overrules/{record}/on")
def put_back(request: Request, record: str, form: Form) -> Response:
    """Undo that."""
    return _set(request, record, form, None)


def _set(request: Request, record: str, form: Form, void_reason: str | None) -> Response:
    garage = garage_of(request)
    with garage.read() as db:
        found = head_of(db, "overrule", record)
    if found is None:
        raise HTTPException(404, "There is no such grade overruled.")
    garage.take(form.make("overrule", record, {"void_reason": void_reason}))
    return see(f"/cars/{found.car}/experience")


def _page(request: Request, car_id: str, form: Filled, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
    return page(
        request,
        "experience/overrule.html",
        status=status,
        form=form,
        car=car,
        signs=_signs(car),
        kinds=kinds_on(car),
        grades=[(key, words[:1].upper() + words[1:]) for key, words in GRADE_LABEL.items()],
        known={},
    )


def _signs(car: CarRow) -> list[_Sign]:
    facts = facts_of(car)
    asked = [sign for sign in SIGNS.values() if sign.asked_on(facts) or sign.worked_out]
    found = [_Sign(sign.key, sign.label, [(one.key, one.label) for one in sign.outcomes]) for sign in asked]
    codes = [(group, PHRASES[CODES, group]) for group in OUTCOMES[CODES]]
    return [*found, _Sign(CODES, "Trouble codes", codes)]
