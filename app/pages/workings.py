"""Small pages that work a torque or a pressure out: with its formula, where that is from, a drawing, what to mind."""

import re
from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.shell import garage_of, page
from app.pages.words import wrench_range
from app.pages.working_air import AIR_UNITS
from app.pages.working_answers import ANSWERS, numbers
from app.records.wrenches import wrenches
from app.workings.bolts import PROOF_MPA
from app.workings.units import TorqueUnit

router = APIRouter()

#: Each by the last word of its address: what it is called, and what it is for.
WORKINGS = {
    "extension": ("Torque with an extension", "What to set when a crow's foot makes the wrench longer"),
    "bolt": ("A bolt's preload", "What a torque clamps with, and the share of the proof load"),
    "torque-units": ("Torque in another unit", "N·m, lbf·ft, lbf·in and kgf·m"),
    "hose-clamp": ("Worm-drive hose clamp", "What service tables print, on a new hose and on one clamped before"),
    "air": ("Air pressure from a weather report", "What the air is at where the car stands, high above the sea"),
}
#: What each asks for.
BOXES = {
    "extension": ("torque", "unit", "wrench", "lever", "extension", "angle"),
    "bolt": ("torque", "unit", "thread", "strength"),
    "torque-units": ("torque", "unit"),
    "hose-clamp": ("band", "hose"),
    "air": ("pressure", "unit", "height"),
}
#: Where a working may lead back to: a page with a check on it.
_BACK = re.compile(r"/(jobs|rechecks|fasteners|cars)(/[A-Za-z0-9._-]+)+")


@router.get("/workings")
def every(request: Request) -> Response:
    """What can be worked out."""
    return page(request, "workings/list.html", workings=WORKINGS)


@router.get("/workings/{working}")
def one(request: Request, working: str) -> Response:
    """One of them: with what the address says in its boxes, and the answer to that."""
    if working not in WORKINGS:
        raise HTTPException(404, "There is no such working.")
    asked = request.query_params
    return _page(request, working, {name: asked.get(name, "") for name in BOXES[working]}, asked.get("back", ""))


def _page(request: Request, name: str, typed: Mapping[str, str], back: str) -> Response:
    with garage_of(request).read() as db:
        found = wrenches(db)
    more: dict[str, Any] = {
        "name": name,
        "title": WORKINGS[name][0],
        "typed": typed,
        "answer": ANSWERS[name](typed, found),
        "numbers": numbers(found),
        "wrenches": found,
        "units": [(unit.value, unit.label) for unit in TorqueUnit],
        "air_units": [(unit.value, unit.label) for unit in AIR_UNITS],
        "choices": [(one.id, f"{one.name}, {wrench_range(one)}") for one in found],
        "classes": [(one, one) for one in PROOF_MPA],
        "back": back if _BACK.fullmatch(back) else "",
    }
    return page(request, f"workings/{name}.html", **more)
