"""Labels to print: a code that opens the page of a line, a component or a shelf box, with its name in words."""

from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Query, Request
from starlette.responses import Response

from app.airpath.words import MATERIAL_LABEL, ComponentKind, Material
from app.pages.components import KINDS
from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.pages.words import number
from app.phone import code
from app.records import labels as record
from app.records.fields import is_record_id
from app.records.labels import LABELLED, Label

router = APIRouter()

#: Three across and eight down: 70 x 37 mm, a usual sheet of sticky labels (common practice, no source).
ON_A_SHEET = 24
_MOST = 4 * ON_A_SHEET
_STATE = {"shelf": "On the shelf", "here": "Here, not fitted yet"}

For = Annotated[list[str], Query(alias="for", max_length=_MOST)]


@router.get("/cars/{car_id}/labels")
def choose(request: Request, car_id: str) -> Response:
    """What of the car may get a label, to be ticked."""
    with garage_of(request).read() as db:
        car = the_car(db, car_id)
        return page(request, "labels/choose.html", car=car, of=record.to_label(db, car_id), about=about)


@router.get("/labels")
def sheet(request: Request, refs: For = [], start: str = "1") -> Response:  # noqa: B006  # FastAPI copies it
    """The sheet: a label for each `for=line/id`, from the place `start` on, where a sheet was begun before."""
    wanted = tuple((kind, of) for kind, _, of in (ref.partition("/") for ref in refs) if kind in LABELLED)
    with garage_of(request).read() as db:
        found = record.labels(db, wanted)
    if not found:
        raise HTTPException(404, "There is nothing to label. Choose lines, components or parts of a car first.")
    first = int(start) if start.isascii() and start.isdigit() and len(start) < 3 else 1
    free = min(max(first, 1), ON_A_SHEET) - 1
    places: list[Label | None] = [*[None] * free, *found]
    sheets = [places[n : n + ON_A_SHEET] for n in range(0, len(places), ON_A_SHEET)]
    back = f"/{found[0].kind}s/{found[0].id}" if len(found) == 1 else f"/cars/{found[0].car}/labels"
    reachable = request.app.state.origin is not None
    shown: dict[str, Any] = {"sheets": sheets, "found": found, "start": free + 1, "back": back, "reachable": reachable}
    return page(request, "labels/sheet.html", **shown, about=about, address=lambda one: _address(request, one.ref))


@router.get("/labels/code.svg")
def picture(request: Request, ref: Annotated[str, Query(alias="for")] = "") -> Response:
    """The code of one label as a picture."""
    kind, _, of = ref.partition("/")
    if kind not in LABELLED or not is_record_id(of):
        raise HTTPException(404, "There is no such label.")
    return Response(code.svg_file(_address(request, ref)), media_type="image/svg+xml")


def about(one: Label) -> str:
    """What it is, in a few words: `Silicone, 63 mm, 120 mm long`."""
    what = _STATE.get(one.what or "") or _kind(one)
    made = MATERIAL_LABEL[Material(one.material)] if one.material else None
    bore = f"{number(one.bore_mm)} mm" if one.bore_mm else None
    length = f"{number(one.length_mm)} mm long" if one.length_mm else None
    said = ", ".join(part for part in (what, made, bore, length) if part)
    return said[:1].upper() + said[1:]


def _kind(one: Label) -> str | None:
    if one.kind != "component" or one.what in (None, ComponentKind.OTHER):
        return None
    return dict(KINDS)[one.what or ""]


def _address(request: Request, ref: str) -> str:
    # On the garage's permanent name: a label outlives the address somebody happens to print it from.
    kind, _, of = ref.partition("/")
    base = request.app.state.origin or str(request.base_url)
    return f"{base.rstrip('/')}/{kind}s/{of}"
