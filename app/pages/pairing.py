"""Pairing a device: the page a link opens, and the one button on it that uses the link up."""

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from app.pages.shell import page, render, see
from app.phone.cookie import carried, cookie_line, may_pair, peer_of
from app.phone.pairing import LONGEST_NAME, Pairing, clean_name, guess_name
from app.records.devices import Credential
from app.records.logbook import now

router = APIRouter()

_NO_GOOD = {
    "used": "This link has been used already. Each link pairs one device, once.",
    "expired": "This link is more than five minutes old.",
    "unknown": "This is no link of this garage, or one from an earlier day.",
    "wait": "Too many links were tried from here that were no good. Wait a minute, then open a fresh one.",
}
_OPEN_HTTPS = (
    "Pairing needs a connection nobody else on the network can read. Open the garage's https address, as the terminal "
    "shows it."
)
_UNSTORED = {"cache-control": "no-store"}


@router.get("/pair")
def no_link(request: Request) -> Response:
    """Where somebody lands who has no link."""
    return page(request, "phone/unpaired.html")


@router.get("/pair/{token}")
def look_at_link(request: Request, token: str) -> Response:
    """The box for a name and the button. Opening the link does not use it up."""
    if not may_pair(request.scope):
        return _no_good(request, _OPEN_HTTPS, 403)
    standing = pairing_of(request).stands(token, peer_of(request.scope))
    if standing != "good":
        return _refused(request, standing)
    guess = guess_name(request.headers.get("user-agent", ""))
    answer = page(request, "phone/pair.html", token=token, guess=guess, longest=LONGEST_NAME)
    answer.headers.update(_UNSTORED)
    return answer


@router.post("/pair/{token}")
async def use_link(request: Request, token: str) -> Response:
    """Pair this device and let it in."""
    if not may_pair(request.scope):
        return _no_good(request, _OPEN_HTTPS, 403)
    form = await request.form(max_files=0, max_fields=5, max_part_size=1000)
    name = clean_name(str(form.get("name", "")), guess_name(request.headers.get("user-agent", "")))
    peer, held = peer_of(request.scope), carried(request.scope)
    paired = await run_in_threadpool(pairing_of(request).use, token, name, peer, held)
    if not isinstance(paired, Credential):
        return _refused(request, paired)
    answer = see("/")
    answer.headers.append("set-cookie", cookie_line(request.scope, paired))
    answer.headers.update(_UNSTORED)
    return answer


def pairing_of(request: Request) -> Pairing:
    """The pairing of this program."""
    pairing: Pairing = request.app.state.pairing
    return pairing


def unpaired_page() -> str:
    """What the gate shows a browser it does not know."""
    return render("phone/unpaired.html", {"gloves": False, "as_of": now()})


def _refused(request: Request, standing: str) -> Response:
    return _no_good(request, _NO_GOOD[standing], 429 if standing == "wait" else 403)


def _no_good(request: Request, why: str, status: int) -> Response:
    answer = page(request, "phone/no_good.html", status=status, why=why)
    answer.headers.update(_UNSTORED)
    if status == 429:
        answer.headers["retry-after"] = "60"
    return answer
