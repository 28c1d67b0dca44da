"""Any record's history, and its undo: struck out with a reason, and taken back in."""

from fastapi import APIRouter, HTTPException, Request
from sqlalchemy import Connection
from starlette.responses import Response

from app.pages.addresses import address_of
from app.pages.forms import EMPTY, Filled, Form
from app.pages.shell import garage_of, page, see
from app.records.history import history_of
from app.records.record_heads import RecordHead, head_of

router = APIRouter()


@router.get("/records/{kind}/{record_id}/history")
def show(request: Request, kind: str, record_id: str) -> Response:
    """Every entry of one record: who set what and when, and what lost against a later entry."""
    return _page(request, kind, record_id, EMPTY)


@router.post("/records/{kind}/{record_id}/void")
def strike_out(request: Request, kind: str, record_id: str, form: Form) -> Response:
    """Strike a record out: it stays in the history and counts nowhere else."""
    garage = garage_of(request)
    with garage.read() as db:
        _the_record(db, kind, record_id)
    reasons = {}
    if not form["void_reason"].strip():
        reasons["void_reason"] = "Say why, for whoever wonders later."
    else:
        reasons |= garage.take(form.entry(kind, record_id, only=("void_reason",))).reasons
    if reasons:
        return _page(request, kind, record_id, form.again(reasons), 422)
    return see(f"/records/{kind}/{record_id}/history")


@router.post("/records/{kind}/{record_id}/take-back")
def take_back(request: Request, kind: str, record_id: str, form: Form) -> Response:
    """Undo a striking out."""
    garage = garage_of(request)
    with garage.read() as db:
        _the_record(db, kind, record_id)
    garage.take(form.make(kind, record_id, {"void_reason": None}))
    return see(f"/records/{kind}/{record_id}/history")


def _page(request: Request, kind: str, record_id: str, form: Filled, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        head = _the_record(db, kind, record_id)
        told = history_of(db, kind, record_id)
    here = request.scope["state"]["device"]
    address = address_of(head)
    return page(
        request, "records/history.html", known={}, status=status, form=form, head=head, told=told, here=here, to=address
    )


def _the_record(db: Connection, kind: str, record_id: str) -> RecordHead:
    found = head_of(db, kind, record_id)
    if found is None:
        raise HTTPException(404, "There is no such record.")
    return found
