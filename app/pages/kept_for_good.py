"""What many pages of a car share lies at an address with a mark of it, so that a phone keeps it for good.

The worker hands it out by that address (static/bay/worker-assets.js), and it is taken along with the car's pages.
"""

import hashlib
from urllib.parse import quote

from fastapi import HTTPException
from starlette.responses import Response

#: Stands for the id of a record that is not there yet, or not known yet; the phone writes the real one in its place.
PLACEHOLDER = "00000000-0000-4000-8000-000000000000"

_FOR_GOOD = {"cache-control": "private, max-age=31536000, immutable"}


def mark_of(*content: str) -> str:
    """A mark of what is kept, or of all it is made of."""
    return hashlib.sha256("\0".join(content).encode()).hexdigest()[:12]


def kept_at(car: str, what: str, mark: str) -> str:
    """The address of what bears this mark."""
    return f"/cars/{quote(car)}/kept/{what}/{mark}"


def answer(text: str, media_type: str, *, mark: str, asked: str) -> Response:
    """The answer to who asked for it by the mark `asked`. Raises HTTPException 404 for another than its own.

    A page that names another mark is out of date itself.
    """
    if mark != asked:
        raise HTTPException(404, "This car has changed since.")
    return Response(text, media_type=media_type, headers=_FOR_GOOD)
