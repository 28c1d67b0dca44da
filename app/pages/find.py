"""Find: one box over all records, what was found by group, each with the page it stands on."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.addresses import address_of
from app.pages.shell import garage_of, page
from app.records import find as record
from app.records.find import Hit
from app.records.find_words import GROUPS

router = APIRouter()

#: More than any box of ours lets through; what is beyond is not looked at.
_LONGEST = 200


@router.get("/find")
def find(request: Request, q: str = "", car: str = "", only: str = "", before: str = "") -> Response:
    """The box, and under it what holds every word of `q`: of all cars or of one, of every group or `only` one."""
    typed = q.strip()[:_LONGEST]
    group = only if only in GROUPS else None
    with garage_of(request).read() as db:
        every = record.cars_to_search(db)
        of = car if car in dict(every) else None
        found = record.find(db, typed, of, only=group, before=_place(before))
    return page(
        request,
        "find/show.html",
        q=typed,
        looked_for=record.words_of(typed),
        cars=every,
        car=of,
        only=group,
        found=found,
        where=where,
    )


def where(hit: Hit) -> str:
    """The page a record is seen on: its own, or that of what it belongs to."""
    if hit.head.kind == "check" and hit.head.parent:
        return f"/jobs/{hit.head.parent}"
    return address_of(hit.head)


def _place(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
