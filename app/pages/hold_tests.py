"""Hold tests: a line or a set of lines shut under vacuum or pressure and timed; how they held, and each by itself.

The phone times and reckons (static/bay/hold-test.js); without scripts the moments and figures are typed.
"""

from typing import Any

from fastapi import APIRouter, HTTPException, Request
from pydantic import ValidationError
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.forms import Filled, Form, Posted, reasons_of
from app.pages.hold_words import LABELS, METHOD, RESULT, lasted, reckoned, summary
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.pages.words import plain
from app.records import hold_tests as record
from app.records.car_known import car_itself, filled
from app.records.cars import CarRow
from app.records.entry import Entry, Value
from app.records.hold_tests import HoldTestRow
from app.records.kinds import KINDS
from app.records.kinds.hold_test import HoldTestFields
from app.records.known import Known
from app.records.logbook import RefusedError
from app.records.memo import Memo
from app.records.si import ambient_kpa
from app.records.tickets import unproved
from app.workings.hold_picture import Picture, picture
from app.workings.hold_test import MOST_KPA, PRACTICE, HoldTest, Judged, judge, practice
from app.workings.units import PressureUnit, unit_of

router = APIRouter()

#: A test that was entered never changes, nor what it comes to.
_JUDGED: Memo[tuple[Judged, Picture]] = Memo(128)

_PER_BORE_AND_LENGTH = 3.141592653589793 / 4 / 1e3  # mm² times mm to ml


@router.get("/cars/{car_id}/hold-tests")
def every(request: Request, car_id: str) -> Response:
    """The last hold tests, newest first."""
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), record.hold_tests_of(db, car_id)
        known = car_itself(db, car) | _lines(db, car_id)
    known |= {f"line/{one.line}": {"name": one.line_name} for one in found if one.line}
    known |= {f"hold_test/{one.id}": one.known for one in found}
    labels = LABELS | {"line": {ref[5:]: str(of["name"]) for ref, of in known.items() if ref.startswith("line/")}}
    more: dict[str, Any] = {"known": known, "labels": labels, "laid": Laid(known, labels)}
    return page(request, "hold_tests/list.html", car=car, tests=found, **more)


@router.get("/cars/{car_id}/hold-tests/new")
def blank(request: Request, car_id: str) -> Response:
    """The empty form, with what the address says of it."""
    asked = request.query_params
    said = {name: asked[name] for name in ("line", "ticket", "job", "medium") if name in asked}
    return _form(request, Filled(said | {"record": new_id()}), car_id)


@router.post("/cars/{car_id}/hold-tests/new")
def add(request: Request, car_id: str, form: Form) -> Response:
    """Keep the test, its check and its evidence: one act; or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
    made, fields = form.record(), _said(form, car)
    asks = _doubts(form, fields)
    if asks:
        return _form(request, form.again({}, asks), car_id, 422)
    try:
        garage.take_all(_entries(form, made, fields))
    except RefusedError as refused:
        return _form(request, form.again(reasons_of(refused.outcomes[:1])), car_id, 422)
    return see(f"/tickets/{form['ticket']}" if form["ticket"] else f"/hold-tests/{made}")


@router.get("/hold-tests/{test_id}")
def show(request: Request, test_id: str) -> Response:
    """One test: how it held, its curve, and how that was worked out."""
    with garage_of(request).read() as db:
        found = record.hold_test(db, test_id)
    if found is None:
        raise HTTPException(404, "There is no such hold test.")
    test = _fields_of(found).test()
    judged, drawn = _judged(test)
    more: dict[str, Any] = {
        "known": {},
        "judged": judged,
        "picture": drawn,
        "one": unit_of(found.unit, PressureUnit).si_per_unit / 1e3,
        "unit": unit_of(found.unit, PressureUnit).label,
        "readings": test.readings,
        "lasted": lasted,
        "reckoned": reckoned,
        "labels_of": LABELS,
    }
    return page(request, "hold_tests/show.html", test=found, **more)


def _judged(test: HoldTest) -> tuple[Judged, Picture]:
    def make() -> tuple[Judged, Picture]:
        judged = judge(test)
        return judged, picture(test, judged)

    return _JUDGED.get(test, make)


def _said(form: Posted, car: CarRow) -> dict[str, Value]:
    """The fields as they are meant: the limit of common practice, the volume from bore and length, what it says."""
    names = KINDS["hold_test"].field_names
    fields: dict[str, Value] = {name: value for name, value in form.values.items() if name in names}
    fields |= {"car": car.id, "passed": None, "hole_mm": None}
    if form["medium"] == "vacuum":
        fields["most_value"] = None
    if not form["ambient_kpa"].strip():
        fields["ambient_kpa"] = ambient_kpa((None, None, car.altitude_m))
    start, bore, length = (_figure(form[name]) for name in ("start_value", "bore_mm", "length_mm"))
    if form["limit_from"] == "practice" and start and form["medium"] in PRACTICE:
        fields["limit_loss"], fields["limit_s"] = practice(form["medium"], start)
    if not form["volume_ml"].strip() and bore and length:
        fields["volume_ml"] = float(f"{_PER_BORE_AND_LENGTH * bore * bore * length:.4g}")
    meant = _meant(fields)
    if meant is not None:
        judged = judge(meant.test())
        fields["passed"] = judged.passed
        fields["hole_mm"] = None if judged.hole_mm is None else float(f"{judged.hole_mm:.4g}")
    return fields


def _meant(fields: dict[str, Value]) -> HoldTestFields | None:
    """What the fields say together; None where the door will refuse them, with its reasons."""
    try:
        return HoldTestFields.model_validate(fields)
    except ValidationError:
        return None


def _entries(form: Posted, made: str, fields: dict[str, Value]) -> list[Entry]:
    meant = _meant(fields)
    found = [form.make("hold_test", made, fields)]
    if meant is None:
        return found
    about: dict[str, Value] = {"done_at": meant.ended_at, "note": summary(meant)}
    if meant.passed is not None:
        thing: dict[str, Value] = {"line": meant.line} if meant.line else {"what": meant.branch}
        check = {"car": meant.car, "job": meant.job, "good": meant.passed} | thing | about
        found.append(form.make("check", f"{made}.check", check))
    if meant.ticket and meant.line and form["evidence"]:
        told: dict[str, Value] = {"ticket": meant.ticket, "line": meant.line, "method": METHOD[meant.medium]}
        found.append(form.make("direct_check", f"{made}.evidence", told | {"result": RESULT[meant.passed]} | about))
    return found


def _doubts(form: Posted, fields: dict[str, Value]) -> dict[str, str]:
    meant = _meant(fields)
    if meant is None or meant.medium != "pressure" or "most_value" in form.sure:
        return {}
    most = MOST_KPA / (meant.unit.si_per_unit / 1e3) if meant.most_value is None else meant.most_value
    if meant.start_value <= most * (1 + 1e-9):
        return {}
    began = f"It was started at {plain(meant.start_value)} {meant.unit.label}"
    return {"most_value": f"{began}, above the limit of {most:.3g}. Was it really so?"}


def _figure(text: str) -> float | None:
    try:
        return float(text.replace(" ", "").replace(",", "."))
    except ValueError:
        return None


def _fields_of(found: HoldTestRow) -> HoldTestFields:
    # As the door took it: nothing is looked over a second time.
    said = {name: getattr(found, name) for name in KINDS["hold_test"].field_names}
    return HoldTestFields.model_construct(**said | {"unit": unit_of(found.unit, PressureUnit)})


def _lines(db: Connection, car_id: str) -> Known:
    found = record.hoses_of(db, car_id)
    return {
        f"line/{one.id}": filled((name, getattr(one, name)) for name in ("name", "bore_mm", "length_mm"))
        for one in found
    }


def _form(request: Request, form: Filled, car_id: str, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car, hoses, tickets = the_car(db, car_id), record.hoses_of(db, car_id), unproved(db, car_id)
        known = _lines(db, car_id)
    known |= {f"ticket/{one.id}": {"car": car.id, "what": one.what} for one in tickets}
    units = {unit.value: unit.si_per_unit / 1e3 for unit in PressureUnit if unit is not PressureUnit.INH2O}
    pressure = "psi" if car.distance_unit == "mi" else "bar"
    numbers = {
        "units": units,
        "practice": PRACTICE,
        "most": MOST_KPA,
        "usual": {"vacuum": "inHg", "pressure": pressure},
    }
    more: dict[str, Any] = {
        "known": known,
        "numbers": numbers,
        "hoses": [(one.id, one.name) for one in hoses],
        "tickets": [(one.id, one.what) for one in tickets],
        "units": [(unit, unit_of(unit, PressureUnit).label) for unit in units],
        "around": f"{ambient_kpa((None, None, car.altitude_m)):.1f}",
        "most": {"bar": "0.7 bar", "psi": "10 psi"}[pressure],
    }
    return page(request, "hold_tests/new.html", status=status, form=form, car=car, **more)
