"""How fast each page is served, beside a bare Starlette route with the same rows and the same template.

    python -m tests.benchmarks.page_speed [--years 10] [--rounds 200] [--only /jobs] [--processor]

For each page the real application is called once while its statements and its template's context are written down.
The bare route then runs those statements through raw sqlite3, fetches every row and renders that template from that
context; both are called in turn, in one process, through ASGI and without a network. `share` is bare time over ours:
1.00 would be as fast as a route that does nothing but query and render. `first` is ours again, each time with nothing
kept of any earlier look, as after an entry.
"""

import argparse
import asyncio
import gc
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest import mock

from sqlalchemy import event
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Scope

from app.main import create_app
from app.pages import shell
from app.phone.cookie import PLAIN_COOKIE
from app.records.garage import Garage
from app.records.memo import Memo
from app.settings import Settings
from tests.benchmarks.every_page import PAGES
from tests.benchmarks.ten_years import make_garage
from tests.conftest import paired


@dataclass
class Written:
    """What one page asked of the database and handed to its template."""

    statements: list[str] = field(default_factory=list)
    template: str = ""
    context: Mapping[str, Any] = field(default_factory=dict)


def scope_of(address: str, cookie: str) -> Scope:
    path, _, query = address.partition("?")
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "root_path": "",
        "headers": [(b"host", b"localhost"), (b"cookie", f"{PLAIN_COOKIE}={cookie}".encode())],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
    }


async def call(app: ASGIApp, path: str, cookie: str) -> int:
    status = 0

    async def receive() -> Message:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Message) -> None:
        nonlocal status
        if message["type"] == "http.response.start":
            status = int(message["status"])

    await app(scope_of(path, cookie), receive, send)
    return status


def written(garage: Garage, app: ASGIApp, path: str, cookie: str) -> Written:
    """Call the page once and note its statements, its template and its context."""
    notes = Written()
    render = shell.render

    def note(statement: str) -> None:
        if not statement.startswith("--"):  # what SQLite asks of itself, within a statement of ours
            notes.statements.append(statement)

    def watch(driver: sqlite3.Connection, *_: object) -> None:
        driver.set_trace_callback(note)

    def noted(template: str, context: Mapping[str, Any]) -> str:
        notes.template, notes.context = template, dict(context)
        return render(template, context)

    asyncio.run(
        call(app, path, cookie)
    )  # what the program keeps between two looks at a page is no part of a page's work
    event.listen(garage.engine, "checkout", watch)
    try:
        with mock.patch.object(shell, "render", noted):
            status = asyncio.run(call(app, path, cookie))
    finally:
        event.remove(garage.engine, "checkout", watch)
        garage.engine.dispose()  # so that no pooled connection goes on telling
    if status != 200:
        raise SystemExit(f"{path} answers {status}")
    if any("UPDATE device" in one for one in notes.statements):  # seen again after a while: no part of the page either
        return written(garage, app, path, cookie)
    return notes


def bare(database: Path, notes: Written) -> Starlette:
    """The least a server could do for this page: the same rows through sqlite3, the same template."""
    connections: list[sqlite3.Connection] = []
    template = shell.environment().get_template(notes.template)

    def endpoint(_: Request) -> HTMLResponse:
        connection = connections.pop() if connections else _connect(database)
        for statement in notes.statements:
            connection.execute(statement).fetchall()
        connections.append(connection)
        return HTMLResponse(template.render(notes.context))

    return Starlette(routes=[Route("/{rest:path}", endpoint)])


def _connect(database: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(database, check_same_thread=False, isolation_level=None)
    connection.execute("PRAGMA mmap_size=268435456")
    return connection


async def race(
    both: tuple[ASGIApp, ASGIApp], path: str, cookie: str, rounds: int, clock: Callable[[], float]
) -> tuple[float, float]:
    """Milliseconds a call, ours and bare: the median of many, taken in turn so that both meet the same weather."""
    times: tuple[list[float], list[float]] = ([], [])
    for n in range(rounds + 10):
        for app, taken in zip(both, times, strict=True):
            start = clock()
            await call(app, path, cookie)
            if n >= 10:
                taken.append(clock() - start)
    return statistics.median(times[0]) * 1000, statistics.median(times[1]) * 1000


async def first_looks(app: ASGIApp, path: str, cookie: str, rounds: int, clock: Callable[[], float]) -> float:
    """Milliseconds of a look for which nothing was kept: the median of `rounds`."""
    everything = [one for one in gc.get_objects() if isinstance(one, Memo)]
    taken = []
    for _ in range(rounds):
        for one in everything:
            one.forget(lambda _: True)
        start = clock()
        await call(app, path, cookie)
        taken.append(clock() - start)
    return statistics.median(taken) * 1000


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--years", type=int, default=10)
    parser.add_argument("--rounds", type=int, default=200)
    parser.add_argument("--only", default="")
    parser.add_argument("--keep", type=Path, help="keep the garage in this folder, and use it again")
    parser.add_argument("--processor", action="store_true", help="count processor time: others use this machine too")
    options = parser.parse_args(arguments)
    clock = time.process_time if options.processor else time.perf_counter
    folder: AbstractContextManager[Any] = nullcontext(options.keep) if options.keep else tempfile.TemporaryDirectory()
    with folder as name:
        garage = _garage(Path(name), options.years)
        app, cookie = create_app(garage), paired(garage, "benchmark")
        print("| page | statements | ours, ms | bare, ms | share | first, ms |\n| --- | --- | --- | --- | --- | --- |")
        for path in PAGES.values():
            if options.only in path:
                notes = written(garage, app, path, cookie)
                beside = bare(garage.settings.database, notes)
                ours, theirs = asyncio.run(race((app, beside), path, cookie, options.rounds, clock))
                first = asyncio.run(first_looks(app, path, cookie, max(3, options.rounds // 5), clock))
                told = f"{len(notes.statements)} | {ours:.2f} | {theirs:.2f} | {theirs / ours:.2f} | {first:.2f}"
                print(f"| {path} | {told} |", flush=True)
        garage.close()


def _garage(folder: Path, years: int) -> Garage:
    if (folder / "garage.sqlite3").exists():
        return Garage.open(Settings(folder))
    return make_garage(folder, years)


if __name__ == "__main__":
    main()
