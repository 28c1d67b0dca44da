"""One car as a file that another Witnessmark takes in, and taking such a file in."""

import tempfile
from collections.abc import Iterator
from io import TextIOWrapper
from typing import IO, cast

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import Response, StreamingResponse

from app.pages.shell import garage_of, page
from app.pages.which import the_car
from app.paper.csv import attachment
from app.records import transfer
from app.records.garage import Garage
from app.records.not_done import NotDoneError

router = APIRouter()

#: Bytes of the largest file taken from a browser; `witnessmark import` takes any.
MOST_BYTES = 500_000_000
#: How many refused lines the page names.
_NAMED = 50
_PIECE = 1 << 16
_TOO_LARGE = f"This file is larger than {MOST_BYTES // 1_000_000} MB. Take it in with `witnessmark import` instead."


@router.get("/cars/{car_id}/archive")
def offer(request: Request, car_id: str) -> Response:
    """What goes along, and the two ways to have it: with prices and without."""
    with garage_of(request).read() as db:
        return page(request, "archive/offer.html", car=the_car(db, car_id))


@router.get("/cars/{car_id}/archive.jsonl")
def download(request: Request, car_id: str, prices: str = "") -> Response:
    """The car's archive; without what its parts cost where `prices` says no."""
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
    # On the disk rather than in memory: ten years of photos are large.
    file = tempfile.TemporaryFile()  # noqa: SIM115  # closed once it is sent
    text = TextIOWrapper(cast(IO[bytes], file), encoding="utf-8", newline="\n", write_through=True)
    transfer.export_car(garage, car_id, text, without_prices=prices == "no")
    text.detach()
    length = file.tell()
    headers = {**attachment(f"{car.name} archive.jsonl"), "content-length": str(length), "cache-control": "no-store"}
    return StreamingResponse(_pieces(file), media_type="application/jsonl; charset=utf-8", headers=headers)


@router.get("/take-in")
def ask(request: Request) -> Response:
    """The form to choose a file with."""
    return page(request, "archive/take_in.html", wrong=None, brought=None)


@router.post("/take-in")
async def take_in(request: Request) -> Response:
    """Take a file in at the door, line by line; the page says what became of it."""
    if int(request.headers.get("content-length") or 0) > MOST_BYTES:
        raise HTTPException(413, _TOO_LARGE)
    if "content-length" not in request.headers:
        raise HTTPException(411, "This browser does not say how large the file is.")
    async with request.form(max_files=1, max_fields=5) as form:
        sent = form.get("file")
        if not isinstance(sent, UploadFile) or not sent.size:
            return page(request, "archive/take_in.html", status=422, wrong="Choose a file.", brought=None)
        return await run_in_threadpool(_taken, request, cast("IO[bytes]", sent.file))


def _taken(request: Request, file: IO[bytes]) -> Response:
    garage: Garage = garage_of(request)
    try:
        brought = transfer.bring_in(garage, transfer.lines_of(transfer.lines_in(file)))
    except NotDoneError as error:
        return page(request, "archive/take_in.html", status=422, wrong=str(error), brought=None)
    named = brought.refused[:_NAMED]
    more = len(brought.refused) - len(named)
    return page(request, "archive/take_in.html", wrong=None, brought=brought, named=named, more=more)


def _pieces(file: IO[bytes]) -> Iterator[bytes]:
    with file:
        file.seek(0)
        while piece := file.read(_PIECE):
            yield piece
