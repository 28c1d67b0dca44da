"""Logs of drives: the list of a car's, adding one, a log's own page and its file."""

from collections.abc import Iterator
from typing import IO, Any, cast

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import JSONResponse, Response, StreamingResponse

from app.pages.forms import EMPTY, Filled, Posted, posted_of
from app.pages.log_charts import chart_of
from app.pages.log_taking import taken_in
from app.pages.shell import garage_of, new_id, page, see
from app.pages.which import the_car
from app.paper.csv import attachment
from app.records import log_files, traces
from app.records.garage import Garage
from app.records.log_files import MOST_BYTES
from app.records.traces import TraceRow
from app.traces.j1979 import CEILING_KPA
from app.traces.sniff import NoLogError
from app.traces.words import label_of, unit_of
from app.workings.ambient import air_around

router = APIRouter()

_MB = MOST_BYTES // 1_000_000
TOO_LARGE = f"This file is larger than {_MB} MB, about six hours of a dozen channels. Cut it, or log less at a time."
_NONE = "Choose a file."
#: What the form around a file adds to what is sent.
_AROUND = 20_000


@router.get("/cars/{car_id}/logs")
def of_car(request: Request, car_id: str) -> Response:
    """The car's logs, and the form to add one."""
    return _list(request, car_id, Filled({"record": new_id(), "entry": new_id()}))


@router.post("/cars/{car_id}/logs")
async def add(request: Request, car_id: str) -> Response:
    """Take a log's file in; on to its page, or to the question what its columns are."""
    length = request.headers.get("content-length")
    if length is None:
        raise HTTPException(411, "This browser does not say how large the file is.")
    if int(length) > MOST_BYTES + _AROUND:
        return _refused(request, car_id, Filled({"record": new_id(), "entry": new_id()}), TOO_LARGE, 413)
    async with request.form(max_files=1, max_fields=10, max_part_size=10_000) as form:
        told = posted_of(request, form)
        sent = form.get("file")
        if not isinstance(sent, UploadFile) or not sent.filename:
            return _refused(request, car_id, told.again({}), _NONE, 422)
        return await run_in_threadpool(_taken, request, car_id, told, cast("IO[bytes]", sent.file), sent.filename)


@router.get("/logs/{log_id}")
def show(request: Request, log_id: str) -> Response:
    """One log: when it was, what it holds, and what of it could not be read."""
    with garage_of(request).read() as db:
        log = the_log(db, log_id)
        car = the_car(db, log.car)
    if log.form is None and not log.void_reason and log.sha256 is not None:
        return see(f"/logs/{log_id}/columns")
    shown: dict[str, Any] = {"log": log, "car": car, "label_of": label_of, "unit_of": unit_of, "ceiling": _ceiling(log)}
    shown |= chart_of(request, log)
    air = air_around(log.ambient_kpa, shown["logged_kpa"], car.altitude_m)
    return page(request, "logs/show.html", known={}, air=air, **shown)


@router.get("/logs/{log_id}/file")
def file(request: Request, log_id: str) -> Response:
    """The file as it was sent."""
    garage = garage_of(request)
    with garage.read() as db:
        log = the_log(db, log_id)
        told = log_files.file_of(db, log_id)
    if told is None:
        raise HTTPException(404, "The file of this log is not in this garage.")
    headers = {**attachment(log.name), "content-length": str(told.size), "cache-control": "no-store"}
    return StreamingResponse(_parts(garage, log_id), media_type="application/octet-stream", headers=headers)


@router.get("/loggers")
def loggers(request: Request) -> Response:
    """The loggers whose files are known again."""
    with garage_of(request).read() as db:
        found = traces.loggers(db)
    return page(request, "logs/loggers.html", loggers=found, label_of=label_of)


def the_log(db: Connection, log_id: str) -> TraceRow:
    """The log of that id. Raises HTTPException 404."""
    found = traces.trace_row(db, log_id)
    if found is None:
        raise HTTPException(404, "There is no such log.")
    return found


def _taken(request: Request, car_id: str, told: Posted, file: IO[bytes], name: str) -> Response:
    garage = garage_of(request)
    with garage.read() as db:
        car = the_car(db, car_id)
    size = file.seek(0, 2)
    file.seek(0)
    if size > MOST_BYTES:
        return _refused(request, car_id, told.again({}), TOO_LARGE, 413)
    try:
        to = taken_in(garage, car, told, file, name)
    except NoLogError as error:
        return _refused(request, car_id, told.again({}), str(error), 422)
    return JSONResponse({"to": to}) if _is_script(request) else see(to)


def _refused(request: Request, car_id: str, form: Filled, why: str, status: int) -> Response:
    if _is_script(request):
        return JSONResponse({"why": why}, status)
    return _list(request, car_id, Filled(form.values, {"file": why}), status)


def _is_script(request: Request) -> bool:
    return request.headers.get("accept") == "application/json"


def _list(request: Request, car_id: str, form: Filled = EMPTY, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        car, found = the_car(db, car_id), traces.traces_of(db, car_id)
    shown: dict[str, Any] = {"car": car, "logs": found, "form": form, "most": MOST_BYTES, "too_large": TOO_LARGE}
    return page(request, "logs/list.html", status=status, **shown)


def _ceiling(log: TraceRow) -> bool:
    """Whether the manifold's pressure stands at what one byte can say at most (SAE J1979, 0x0B)."""
    return any(one.name == "manifold_pressure" and one.high == CEILING_KPA for one in log.channels)


def _parts(garage: Garage, log_id: str) -> Iterator[bytes]:
    with garage.read() as db:
        yield from log_files.parts_of(db, log_id)
