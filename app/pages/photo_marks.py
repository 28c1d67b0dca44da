"""What is drawn on a photo, and the photo it is held against: entries of their own, beside the photo's note."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.drawn import points_of, text_of
from app.pages.forms import Form
from app.pages.photos import show_photo, the_photo
from app.pages.shell import garage_of, see

router = APIRouter()


@router.post("/photos/{photo}/draw")
def draw(request: Request, photo: str, form: Form) -> Response:
    """Take the rings and arrows as they stand now; or, of a browser without scripts, one more placed by figures."""
    garage = garage_of(request)
    with garage.read() as db:
        here = the_photo(db, photo)
    rings, arrows = points_of(form["rings"] or here.rings), points_of(form["arrows"] or here.arrows)
    if form["wipe"]:
        rings, arrows = [], []
    elif form["shape"]:
        placed = [_share(form[name]) for name in ("across", "down", "to_across", "to_down")]
        wanted = placed if form["shape"] == "arrow" else placed[:2]
        if any(one is None for one in wanted):
            said = "Write how far across and down, in percent; for an arrow of both its ends."
            return show_photo(request, photo, form.again({"across": said}), 422)
        x, y, *end = (one for one in wanted if one is not None)
        if end:
            arrows += [(x, y), (end[0], end[1])]
        else:
            rings.append((x, y))
    outcome = garage.take(form.make("photo", photo, {"rings": text_of(rings), "arrows": text_of(arrows)}))
    if outcome.outcome == "refused":
        return show_photo(request, photo, form.again(outcome.reasons), 422)
    return see(f"/photos/{photo}")


@router.post("/photos/{photo}/before")
def hold_against(request: Request, photo: str, form: Form) -> Response:
    """Say which photo shows the same before the work, or none."""
    garage = garage_of(request)
    with garage.read() as db:
        the_photo(db, photo)
    before = form["before"] if form["before"] != photo else ""
    outcome = garage.take(form.make("photo", photo, {"before": before or None}))
    if outcome.outcome == "refused":
        return show_photo(request, photo, form.again(outcome.reasons), 422)
    return see(f"/photos/{photo}")


def _share(text: str) -> float | None:
    """A percentage as typed, as a share; None for what is none."""
    try:
        value = float(text.replace(",", ".").removesuffix("%"))
    except ValueError:
        return None
    return value / 100 if 0 <= value <= 100 else None
