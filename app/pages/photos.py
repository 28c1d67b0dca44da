"""Photos: the picture taken in, shown, and the photo's own page."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request
from sqlalchemy import Connection
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import JSONResponse, Response

from app.pages.drawn import WIDE, drawn, tall_of
from app.pages.forms import EMPTY, Filled, Form, posted_of
from app.pages.laid import Laid
from app.pages.shell import garage_of, new_id, page, see
from app.photos.reencode import MOST_BYTES, NoPictureError, reencode
from app.records import photos as record
from app.records.fields import is_record_id
from app.records.known import known
from app.records.logbook import now
from app.records.photos import ABOUT, PhotoOf
from app.records.record_heads import head_of

router = APIRouter()

_NO_SUCH = "There is no such photo."
_TOO_LARGE = f"This picture is larger than {MOST_BYTES // 1_000_000} MB. Take a smaller one."
_ANOTHER = "There is another picture of this photo already."
_NONE = "Take a picture, or choose one."
#: A picture never changes under its id. It is nobody's but the paired device's: no shared cache may keep it.
_FOR_GOOD = {"cache-control": "private, max-age=31536000, immutable"}


async def sent(request: Request) -> bytes:
    """The picture that is this request's body. HTTPException 400 without the Entry-Id header, 413 when too large."""
    if "entry-id" not in request.headers:
        raise HTTPException(400, "Name the entry this picture belongs to in the Entry-Id header.")
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > MOST_BYTES:
            raise HTTPException(413, _TOO_LARGE)
    return bytes(body)


@router.post("/photos/{photo}/picture")
def take_picture(request: Request, photo: str, picture: Annotated[bytes, Depends(sent)]) -> Response:
    """Keep the picture of a photo whose entry comes next. Sent again it is `had`; 422 says why it can't be kept."""
    wrong = _kept(request, photo, picture)
    if wrong:
        return JSONResponse({"photo": photo, "outcome": "refused", "reason": wrong}, 422)
    return JSONResponse({"photo": photo, "outcome": "taken"})


@router.get("/photos/{photo}/picture")
def picture(request: Request, photo: str) -> Response:
    """The picture itself."""
    with garage_of(request).read() as db:
        jpeg = record.jpeg_of(db, photo)
    if jpeg is None:
        raise HTTPException(404, "This picture is still on the phone that took it.")
    return Response(jpeg, media_type="image/jpeg", headers=_FOR_GOOD)


@router.get("/photos/new")
def blank(request: Request) -> Response:
    """The form for a photo of what the address names: `?part=...`, or a job, ticket, line or component."""
    about = next((name for name in ABOUT if request.query_params.get(name)), "")
    with garage_of(request).read() as db:
        thing = head_of(db, about, request.query_params.get(about, ""))
    if thing is None or thing.car is None or thing.void_reason:
        raise HTTPException(404, "There is nothing of that name to take a photo of.")
    form = Filled({"car": thing.car, about: thing.id, "record": new_id(), "entry": new_id()})
    return page(request, "photos/new.html", form=form, about=about, back=f"/{about}s/{thing.id}", known={})


@router.post("/photos/new")
async def add_photo(request: Request) -> Response:
    """A photo from a form, of a browser without scripts; or the form again."""
    async with request.form(max_files=1, max_fields=20, max_part_size=MOST_BYTES) as form:
        told = posted_of(request, form)
        file = form.get("picture")
        picture = await file.read(MOST_BYTES + 1) if isinstance(file, UploadFile) else b""
    about = next((name for name in ABOUT if told[name]), "job")
    photo, wrong = told.record(), _NONE
    if picture:
        wrong = _TOO_LARGE if len(picture) > MOST_BYTES else await run_in_threadpool(_kept, request, photo, picture)
    reasons = {"picture": wrong} if wrong else {}
    if not reasons:
        entry = told.entry("photo", photo, {"taken_at": told["taken_at"] or now()})
        outcome = await run_in_threadpool(garage_of(request).take, entry)
        if outcome.outcome != "refused":
            return see(f"/{about}s/{told[about]}#photos")
        reasons = dict(outcome.reasons)
    back = f"/{about}s/{told[about]}"
    return page(request, "photos/new.html", status=422, form=told.again(reasons), about=about, back=back, known={})


@router.get("/photos/{photo}")
def one_photo(request: Request, photo: str) -> Response:
    """The photo as large as the screen, what it is of, and what was written about it."""
    return show_photo(request, photo, EMPTY)


@router.post("/photos/{photo}")
def write_about_it(request: Request, photo: str, form: Form) -> Response:
    """Take the note about it, or show the form again."""
    garage = garage_of(request)
    with garage.read() as db:
        the_photo(db, photo)
    outcome = garage.take(form.entry("photo", photo, only=("note",)))
    if outcome.outcome == "refused":
        return show_photo(request, photo, form.again(outcome.reasons), 422)
    return see(f"/photos/{photo}")


@router.post("/photos/{photo}/void")
def take_out(request: Request, photo: str, form: Form) -> Response:
    """Take the photo out of every list."""
    garage = garage_of(request)
    with garage.read() as db:
        here = the_photo(db, photo)
    garage.take(form.make("photo", photo, {"void_reason": form["void_reason"] or "Taken out"}))
    return see(f"/{here.about}s/{here.of}#photos")


def _kept(request: Request, photo: str, picture: bytes) -> str:
    """Why the picture could not be kept; nothing if it was."""
    if not is_record_id(photo):
        return "A photo's id is up to 200 letters, digits, dots and dashes."
    try:
        found = reencode(picture)
    except NoPictureError as error:
        return str(error)
    outcome = record.put_picture(garage_of(request).engine, photo, found, now())
    return _ANOTHER if outcome == "other" else ""


def show_photo(request: Request, photo: str, form: Filled, status: int = 200) -> Response:
    """The photo's page, with a form on it as it was sent. Raises HTTPException 404."""
    with garage_of(request).read() as db:
        return _page(request, db, the_photo(db, photo), form, status)


def _page(request: Request, db: Connection, here: PhotoOf, form: Filled, status: int) -> Response:
    facts = known(db, "photo", id=here.id)
    shown = {
        "photo": here,
        "k": Laid(facts, about=f"photo/{here.id}"),
        "others": [one for one in record.photos_of(db, here.about, here.of) if one.id != here.id],
        "later": record.later_of(db, here.id),
        "marks": drawn(here.rings, here.arrows, tall_of(here.width, here.height)),
        "wide": WIDE,
        "tall": tall_of(here.width, here.height),
    }
    return page(request, "photos/show.html", status=status, form=form, known=facts, **shown)


def the_photo(db: Connection, photo: str) -> PhotoOf:
    """The photo of that id. Raises HTTPException 404."""
    found = record.photo(db, photo)
    if found is None:
        raise HTTPException(404, _NO_SUCH)
    return found
