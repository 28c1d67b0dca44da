"""What a phone needs to start from its home screen, and the page for when it finds nothing there."""

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from app.pages.shell import asset, page

router = APIRouter()

#: The page's colours in the dark, where most of the work is done; --metal in look.css.
_METAL = "#101315"


@router.get("/start")
def start(request: Request) -> Response:
    """Leads on to the car last used, which only the phone knows."""
    return page(request, "start.html")


@router.get("/away")
def away(request: Request) -> Response:
    """What the phone shows where the garage does not answer and the page asked for was not taken along."""
    return page(request, "away.html")


@router.get("/manifest.webmanifest")
def manifest() -> Response:
    """What the home screen shows of this program, and where it opens it."""
    icons = [(192, "any"), (512, "any"), (512, "maskable")]
    told = {
        "id": "/",
        "name": "Witnessmark",
        "short_name": "Witnessmark",
        "start_url": "/start",
        "scope": "/",
        "display": "standalone",
        "background_color": _METAL,
        "theme_color": _METAL,
        "icons": [_icon(size, purpose) for size, purpose in icons],
    }
    # Every page names it, and a browser would ask for it with each of them.
    return JSONResponse(
        told, media_type="application/manifest+json", headers={"cache-control": "private, max-age=86400"}
    )


def _icon(size: int, purpose: str) -> dict[str, str]:
    source = asset(f"icons/{purpose}-{size}.png")
    return {"src": source, "sizes": f"{size}x{size}", "type": "image/png", "purpose": purpose}
