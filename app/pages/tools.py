"""The garage's tools: what there is, by one tap each."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.forms import EMPTY, Filled, Form
from app.pages.laid import Laid
from app.pages.shell import garage_of, page, see
from app.records.known import known
from app.triage.at_hand import TOOLS
from app.triage.signs import Need

router = APIRouter()

#: In the order of the page: what it is called, and what it is for.
_WORDS: dict[Need, tuple[str, str]] = {
    Need.CODE_READER: ("Code reader", "Reads trouble codes and fuel trims"),
    Need.HAND_VACUUM_PUMP: ("Hand vacuum pump", "Shows whether a hose, a valve or the store holds vacuum"),
    Need.SMOKE_MACHINE: ("Smoke machine", "Shows a leak by the smoke that comes out of it"),
    Need.PRESSURE_TESTER: ("Pressure tester", "Fills the charge side with air, to hear and feel where it goes"),
    Need.SECOND_PERSON: ("Someone to help", "Watches a gauge or works a pedal while you look"),
    Need.SPARE_PART: ("Known good spares", "To swap a valve or a sensor for one that works"),
}


@router.get("/tools")
def show(request: Request) -> Response:
    """Every tool a check may need, and whether it is there."""
    return _page(request, EMPTY)


@router.post("/tools")
def say(request: Request, form: Form) -> Response:
    """Note whether one is there."""
    tool = form["tool"]
    outcome = garage_of(request).take(
        form.entry("tool", tool if tool in TOOLS else "none", {"void_reason": None}, only=("tool", "owned"))
    )
    if outcome.outcome == "refused":
        return _page(request, form.again(outcome.reasons), 422)
    return see("/tools")


def _page(request: Request, form: Filled, status: int = 200) -> Response:
    with garage_of(request).read() as db:
        said = known(db, "tool")
    tools = [(tool.value, *words) for tool, words in _WORDS.items()]
    return page(request, "tools/list.html", status=status, tools=tools, form=form, known=said, laid=Laid(said))
