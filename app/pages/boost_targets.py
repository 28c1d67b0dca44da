"""The boost target of a car: its curve, drawn and in figures, and the form to state it."""

import json
from collections.abc import Mapping

from fastapi import APIRouter, Request
from pydantic import TypeAdapter, ValidationError
from starlette.responses import Response

from app.pages import gauges
from app.pages.forms import EMPTY, Filled, Form, Posted
from app.pages.laid import Laid
from app.pages.reading_forms import BAROMETERS, BASES, unit_label
from app.pages.shell import garage_of, page, see
from app.pages.target_drawing import drawing, points_of
from app.pages.which import the_car
from app.pages.words import plain
from app.records.boost_targets import TargetView, boost_target, target_id
from app.records.fields import Number
from app.records.kinds.boost import BOOST
from app.records.known import known
from app.records.readings import boosts_with_speed

router = APIRouter()

#: How many points the form has room for.
POINTS = 12
#: How many of the last boosts read are drawn beside the curve.
_PICTURED = 12
_FIGURE: TypeAdapter[float] = TypeAdapter(Number)
UNITS = [(unit, unit_label(unit)) for unit in BOOST.units]


@router.get("/cars/{car_id}/boost-target")
def show(request: Request, car_id: str) -> Response:
    """The curve that counts, and the form to state it anew."""
    return _page(request, EMPTY, car_id)


@router.post("/cars/{car_id}/boost-target")
def state(request: Request, car_id: str, form: Form) -> Response:
    """State it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        the_car(db, car_id)
    curve, wrong = _curve(form)
    if wrong:
        return _page(request, form.again(wrong), car_id, 422)
    fixed = {"car": car_id, "curve": curve, "void_reason": None}
    outcome = garage.take(form.entry("boost_target", target_id(car_id), fixed))
    if outcome.outcome == "refused":
        return _page(request, form.again(outcome.reasons), car_id, 422)
    return see(f"/cars/{car_id}/boost-target")


def _curve(form: Posted) -> tuple[str, dict[str, str]]:
    """The boxes of the points as one field, and what is wrong with them, by box."""
    points: list[tuple[float, ...]] = []
    wrong: dict[str, str] = {}
    for n in range(1, POINTS + 1):
        names = (f"speed_{n}", f"boost_{n}")
        typed = {name: form[name].strip() for name in names}
        if not any(typed.values()) and n > 1:
            continue
        wrong |= {name: why for name, text in typed.items() if (why := _wrong(text))}
        if not wrong:
            points.append(tuple(_FIGURE.validate_python(typed[name]) for name in names))
    return json.dumps(points), wrong


def _wrong(text: str) -> str | None:
    try:
        _FIGURE.validate_python(text)
    except ValidationError:
        return "Write a number, such as 5 or 5.5." if text else "This is needed."
    return None


def _boxes(view: TargetView | None) -> Mapping[str, str]:
    """What stands in the boxes of the points."""
    found = points_of(view)[:POINTS] if view else []
    return {
        f"{name}_{n}": plain(value)
        for n, point in enumerate(found, 1)
        for name, value in zip(("speed", "boost"), point, strict=True)
    }


def _page(request: Request, form: Filled, car_id: str, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        view, boosts = boost_target(db, car_id), boosts_with_speed(db, car_id, _PICTURED)
        here = known(db, "boost_target", id=target_id(car_id))
    ref = f"boost_target/{target_id(car_id)}"
    return page(
        request,
        "boost_targets/show.html",
        status=status,
        form=form,
        car=car,
        id=target_id(car_id),
        view=view,
        stands=view.fields if view else None,
        points=points_of(view) if view else [],
        boxes=_boxes(view),
        of=drawing(view, boosts) if view else None,
        known=here,
        l=Laid(here, about=ref),
        gauges=gauges.FIXED,
        units=UNITS,
        bases=[(basis, BASES[basis]) for basis in BOOST.bases],
        barometers=BAROMETERS,
        rows=range(1, POINTS + 1),
    )
