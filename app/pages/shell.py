"""The frame every page is rendered in: the template environment, and what templates may call."""

import hashlib
import os
import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from fastapi import Request
from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.ext import Extension
from jinja2.runtime import Context
from starlette.responses import HTMLResponse, RedirectResponse

from app.pages import words
from app.pages.forms import EMPTY
from app.pages.release import BAY, bay_mark
from app.records.cautions import OVER_TARGET_READ
from app.records.garage import Garage
from app.records.kinds import KINDS
from app.settings import shipped

_INDENT = re.compile(r"^[ \t]+(?=<|\{\{)", re.MULTILINE)


class _Flush(Extension):
    """Templates are indented for whoever reads them; a phone fetches no indents."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:  # noqa: ARG002 - Jinja's
        """A template's text without its indents."""
        return _INDENT.sub("", source)


@cache
def environment() -> Environment:
    """The one template environment: escaping on, an unknown name an error, templates read once."""
    env = Environment(
        loader=FileSystemLoader(shipped("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        cache_size=-1,
        extensions=[_Flush],
    )
    # A page's lists stand in the order in which it knows of things.
    env.policies["json.dumps_kwargs"] = {"sort_keys": False, "separators": (",", ":")}
    env.filters |= words.FILTERS
    env.filters["for_input"] = _for_input
    env.globals |= {"asset": asset, "new_id": new_id, "EMPTY": EMPTY}
    env.globals["OVER_TARGET"] = OVER_TARGET_READ
    env.globals["together"] = {name: kind.together for name, kind in KINDS.items() if kind.together}
    return env


@pass_context
def _for_input(_context: Context, text: str | None) -> str:
    # Of a constant a template works a filter out but once, when it is first read, and the clock would stand still. One
    # that is given the context is asked each time.
    return words.for_input(text)


def new_id() -> str:
    """A fresh id for an entry or a record; a form carries it, so that sending the form twice enters it once."""
    # A random UUID, written out here since a list holds one for every row and the uuid module takes its time.
    text = os.urandom(16).hex()
    return f"{text[:8]}-{text[8:12]}-4{text[13:16]}-a{text[17:20]}-{text[20:]}"


@cache
def asset(path: str) -> str:
    """The address of a static file, with a mark of its content: it may be kept for good and never goes stale.

    The phone's modules bear their common mark in their folder's name, so that those of one release only ever import
    each other.
    """
    if path.startswith(f"{BAY}/"):
        return f"/static/{BAY}/{bay_mark()}/{path.removeprefix(f'{BAY}/')}"
    mark = hashlib.sha256((shipped("static") / path).read_bytes()).hexdigest()[:12]
    return f"/static/{path}?v={mark}"


def render(template: str, context: Mapping[str, Any]) -> str:
    """The text of a page or a fragment."""
    return environment().get_template(template).render(context)


#: Looked for before a jar of cookies is filled, which takes longer.
_GLOVES = "gloves"


def page(request: Request, template: str, /, *, status: int = 200, **context: Any) -> HTMLResponse:
    """Answer with a page (or a fragment: a fragment's template simply extends nothing)."""
    # From before the record was looked at: an entry taken meanwhile may be missing from what is shown.
    context["as_of"] = request.scope["state"]["came_at"]
    context["gloves"] = _GLOVES in request.headers.get("cookie", "") and request.cookies.get("gloves") == "on"
    return HTMLResponse(render(template, context), status)


def see(path: str) -> RedirectResponse:
    """The answer to a form that was taken: 303, so that going back or reloading sends nothing again."""
    return RedirectResponse(path, 303)


def garage_of(request: Request) -> Garage:
    """The garage this program serves."""
    garage: Garage = request.app.state.garage
    return garage
