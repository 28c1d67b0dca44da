"""Where a phone's outbox hands in its entries, and the page that lists what waits."""

import json
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from app.pages.shell import garage_of, page
from app.pages.waiting_words import choices, field_words
from app.records.entry import Entry
from app.records.entry_json import read_entry
from app.records.kinds import KINDS
from app.records.logbook import now

router = APIRouter()

MOST_ENTRIES = 200
_MOST_BYTES = 1_000_000
#: Fields that name another record.
_REFS = sorted({column.name for kind in KINDS.values() for column in kind.table.c if column.foreign_keys})


async def sent(request: Request) -> list[Entry]:
    """The entries of this request. 400 for what is none, 413 for too many at once.

    A page of another site can't send the Entry-Id header without asking first, and is not answered when it asks.
    """
    if "entry-id" not in request.headers:
        raise HTTPException(400, "Name the first entry in the Entry-Id header.")
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > _MOST_BYTES:
            raise HTTPException(413, "Send fewer entries at once.")
    try:
        entries = json.loads(body)["entries"]
        if not isinstance(entries, list) or not all(isinstance(one, dict) for one in entries):
            raise HTTPException(400, "Send a list of entries.")
        if len(entries) > MOST_ENTRIES:
            raise HTTPException(413, "Send fewer entries at once.")
        return [read_entry(one, str(request.scope["state"]["device"])) for one in entries]
    except (ValueError, RecursionError, TypeError, KeyError):
        raise HTTPException(400, "This is no list of entries.") from None


@router.post("/entries")
def take(request: Request, entries: Annotated[list[Entry], Depends(sent)]) -> Response:
    """Take each entry by itself, in order; what became of each, by its id. Answered only once all is on the disk."""
    outcomes = garage_of(request).take_each(entries, received_at=now())
    told = [{"id": one.id, "outcome": one.outcome, "reasons": dict(one.reasons)} for one in outcomes]
    # The moment from which every page shows them: after it, not before it, or a page read meanwhile would pass for new.
    return JSONResponse({"outcomes": told, "shown_from": now()})


@router.get("/waiting")
def waiting(request: Request) -> Response:
    """The page on which a phone shows what it has not sent; the server knows nothing of that."""
    words = {"fields": field_words(), "choices": choices()}
    return page(request, "waiting.html", refs=_REFS, words=words)
