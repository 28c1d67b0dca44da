"""The devices paired with this garage: named, removed, added."""

import logging
from datetime import UTC, datetime

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from app.pages.forms import Form
from app.pages.pairing import pairing_of
from app.pages.shell import garage_of, page, see
from app.phone import code
from app.phone.pairing import LONGEST_NAME, clean_name, new_link
from app.records import devices as record

router = APIRouter()
_log = logging.getLogger(__name__)

_NO_SUCH = "There is no such device."


@router.get("/devices")
def every_device(request: Request, removed: str = "") -> Response:
    """Who may come in, when each was last here, and how much it entered."""
    with garage_of(request).read() as db:
        found = record.devices(db)
    shown = {
        "devices": found,
        "own": request.scope["state"]["device"],
        "just_removed": next((one for one in found if one.id == removed and one.removed_at), None),
        "longest": LONGEST_NAME,
        "gated": request.app.state.gated,
    }
    return page(request, "phone/devices.html", **shown)


@router.post("/devices/link")
def add_device(request: Request) -> Response:
    """A fresh link as a code to scan, in answer to the button: opening or reloading the list makes none."""
    away: str | None = getattr(request.app.state, "origin", None)
    link = new_link(garage_of(request), away or str(request.base_url))
    answer = page(request, "phone/add_device.html", link=link, picture=code.svg(link), reachable=away is not None)
    answer.headers["cache-control"] = "no-store"
    return answer


@router.post("/devices/{device}/rename")
def rename_device(request: Request, device: str, form: Form) -> Response:
    """Call it something else."""
    if not record.rename(garage_of(request).engine, device, clean_name(form["name"], "A device")):
        raise HTTPException(404, _NO_SUCH)
    return see("/devices")


@router.post("/devices/{device}/remove")
def remove_device(request: Request, device: str) -> Response:
    """Shut it out, from this moment. What it entered stays."""
    if not record.remove(garage_of(request).engine, device, datetime.now(UTC)):
        raise HTTPException(404, _NO_SUCH)
    pairing_of(request).keyring.forget(device)
    _log.info("device %s removed by %s", device, request.scope["state"]["device"])
    return see(f"/devices?removed={device}")


@router.post("/devices/{device}/put-back")
def put_back_device(request: Request, device: str) -> Response:
    """Undo a removal."""
    if not record.put_back(garage_of(request).engine, device):
        raise HTTPException(404, _NO_SUCH)
    return see("/devices")
