"""The scanner: the camera looks at a label, and its page opens."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from app.pages.shell import page

router = APIRouter()


@router.get("/scan")
def scan(request: Request) -> Response:
    """The scanner, and what to do where this browser has none."""
    return page(request, "scan.html")
