"""The service worker's script, put together from its parts."""

import json
import re
from functools import cache
from pathlib import Path

from fastapi import APIRouter
from starlette.responses import Response

from app.pages.one_script import ALL, without_comments
from app.pages.release import BAY, release
from app.pages.shell import asset
from app.settings import shipped

router = APIRouter()

#: Pages with no record in them, kept with what every page is made of.
PAGES = ("/start", "/away", "/waiting")
_EXPORT = re.compile(r"^export (?=(async )?function|const|let|class)", re.MULTILINE)
_IMPORT = re.compile(r"^\s*import\b", re.MULTILINE)


@router.get("/sw.js")
def worker() -> Response:
    """One classic script for the whole site. Asked for anew each time: it is how a phone learns of a new release."""
    return Response(script(), media_type="text/javascript", headers={"cache-control": "no-cache"})


@cache
def script() -> str:
    """The worker of this release: what it is to keep, and its parts one after the other.

    Raises ValueError for a part that imports another: a classic script can't.
    """
    folder = shipped("static") / BAY
    told = f"const RELEASE = {json.dumps(release())};\nconst SHELL = {json.dumps(shell_addresses(), indent=0)};\n"
    # worker.js sorts behind the worker-*.js it is made of.
    return told + "".join(_part(path) for path in [folder / "words.js", *sorted(folder.glob("worker*.js"))])


#: What only a few pages of a car ask for is taken along with it (take_along.py).
_OF_A_CAR = ("hole", "hold-", "workings", "charts.css", "compare.css", "drift.css", "fit.css", "hoses.css", "plan.css")
#: The worker itself, and what the browser's own cache keeps for those who use it: labels are printed at the garage, a
#: phone's own camera app reads them anywhere, a log is drawn at the garage.
_NOT_KEPT = ("worker", "print.js", "scan.js", "labels.css", "scan.css", "log", *_OF_A_CAR)


def shell_addresses() -> list[str]:
    """Everything a page may ask for beside itself, and the pages with no record in them.

    What stands in `vendor/` only helps where the garage answers, and is left to the pages that ask for it.
    """
    static = shipped("static")
    kinds = ("*.css", "*.svg", "fonts/*.woff2", f"{BAY}/*.js")
    files = sorted(path for kind in kinds for path in static.glob(kind) if not path.name.startswith(_NOT_KEPT))
    # The style sheet asks for the letters without a mark.
    plain = {path for path in files if path.suffix == ".woff2"}
    named = [(path.relative_to(static).as_posix(), path in plain) for path in files]
    addresses = [f"/static/{name}" if is_plain else asset(name) for name, is_plain in named]
    return [asset(f"{BAY}/{ALL}"), *addresses, *PAGES]


def _part(path: Path) -> str:
    text = path.read_text(encoding="utf-8")
    if _IMPORT.search(text):
        raise ValueError(f"{path.name} imports another file; the worker is one script")
    return f"\n// {path.name}\n{without_comments(_EXPORT.sub('', text))}"
