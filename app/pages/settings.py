"""What this browser is set to, and where the record lies."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.forms import Form
from app.pages.shell import garage_of, page, see

router = APIRouter()

_A_YEAR = 60 * 60 * 24 * 365


@router.get("/settings")
def show(request: Request) -> Response:
    """Gloves on or off, and the data folder."""
    return page(request, "settings.html", folder=garage_of(request).settings.data)


@router.post("/settings")
def keep(form: Form) -> Response:
    """Keep the setting in this browser; it is no part of the record."""
    answer = see("/settings")
    gloves = "on" if form["gloves"] == "on" else "off"
    answer.set_cookie("gloves", gloves, max_age=_A_YEAR, path="/", httponly=True, samesite="strict")
    return answer
