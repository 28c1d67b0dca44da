"""One joint: what holds it, how it is reached, and the torque it wants."""

from dataclasses import asdict, replace

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.changes import changes
from app.pages.forms import EMPTY, Filled, Form, Posted
from app.pages.lines import CHOICES, the_line
from app.pages.shell import garage_of, page, see
from app.records.lines import Joint, Line
from app.records.lines import joint as joint_row
from app.workings.units import TorqueUnit

router = APIRouter()

_UNITS = [(unit.value, unit.label) for unit in TorqueUnit]


@router.get("/joints/{joint_id}/edit")
def edit(request: Request, joint_id: str) -> Response:
    """The form with what is known of the joint in it."""
    with garage_of(request).read() as db:
        joint, line = _the_joint(db, joint_id)
    return _page(request, EMPTY, joint, line)


@router.post("/joints/{joint_id}/edit")
def change(request: Request, joint_id: str, form: Form) -> Response:
    """Take what was changed, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        joint, line = _the_joint(db, joint_id)
    reasons = _why_not(form)
    # A unit is always chosen; without a figure it says nothing.
    said = form if form["torque_value"].strip() else replace(form, values={**form.values, "torque_unit": ""})
    fields = changes(said, "joint", asdict(joint))
    if fields and not reasons:
        reasons = dict(garage.take(form.make("joint", joint_id, fields)).reasons)
    if reasons:
        return _page(request, form.again(reasons), joint, line, 422)
    return see(f"/lines/{line.id}")


def _page(request: Request, form: Filled, joint: Joint, line: Line, status: int = 200) -> Response:
    return page(
        request,
        "joints/edit.html",
        status=status,
        form=form,
        known={},
        joint=joint,
        line=line,
        lists=CHOICES,
        units=_UNITS,
    )


def _why_not(form: Posted) -> dict[str, str]:
    if not form["torque_value"].strip():
        stray = [name for name in ("torque_tolerance", "torque_source") if form[name].strip()]
        return {"torque_value": "Write the torque this belongs to, or clear it."} if stray else {}
    reasons = {}
    if not form["torque_unit"]:
        reasons["torque_unit"] = "Choose the unit the figure is in."
    if not form["torque_source"].strip():
        reasons["torque_source"] = "Say where the figure is from; the maker of the part comes first."
    return reasons


def _the_joint(db: Connection, joint_id: str) -> tuple[Joint, Line]:
    joint = joint_row(db, joint_id)
    if joint is None:
        raise HTTPException(404, "There is no such joint.")
    return joint, the_line(db, joint.line)
