"""Which release of the pages this is: marks of the content of what the program ships, for caches to go by."""

import hashlib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from app import __version__
from app.settings import shipped

#: The folder of the phone's own modules. They import each other by name, so they get one mark together.
BAY = "bay"


@cache
def release() -> str:
    """A mark of everything a kept page is made of: scripts, styles, fonts, templates and the program's version."""
    folders = (shipped("static"), shipped("templates"))
    return _mark((path for folder in folders for path in folder.rglob("*")), __version__)


@cache
def bay_mark() -> str:
    """A mark of the phone's own modules as a whole."""
    return _mark((shipped("static") / BAY).rglob("*"))


def _mark(paths: Iterable[Path], also: str = "") -> str:
    mark = hashlib.sha256(also.encode())
    for path in sorted(path for path in paths if path.is_file()):
        mark.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return mark.hexdigest()[:12]
