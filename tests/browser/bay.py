"""A garage that can fall silent, answer late, forget a phone, or come back as another release, at one address."""

import contextlib
import shutil
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import anyio.to_thread
import uvicorn
from playwright.sync_api import BrowserContext, Page
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from app import serving
from app.main import create_app
from app.records.garage import Garage
from app.settings import THIS_MACHINE
from tests.browser.conftest import let_in

ROOT = Path(__file__).parent.parent.parent
SHIPPED = ("app", "migrations", "seed_data", "static", "templates")


@dataclass
class Moods:
    """How the garage answers just now."""

    app: ASGIApp
    answers: threading.Event = field(default_factory=threading.Event)
    knows_the_phone: bool = True
    asked: list[str] = field(default_factory=list)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            self.asked.append(scope["path"])
            if not self.answers.is_set():
                await anyio.to_thread.run_sync(self.answers.wait, abandon_on_cancel=True)
            if not self.knows_the_phone:
                await PlainTextResponse("Pair this phone first.", 401)(scope, receive, send)
                return
        await self.app(scope, receive, send)


class Bay:
    """The real program on a port of its own, which it keeps."""

    def __init__(self, garage: Garage) -> None:
        self.garage = garage
        self.moods = Moods(create_app(garage))
        self.moods.answers.set()
        self.port = 0
        self.start()

    @property
    def address(self) -> str:
        return f"http://{THIS_MACHINE}:{self.port}"

    def let_in(self, context: BrowserContext) -> None:
        """Pair a browser, whether the garage answers or not."""
        let_in(context, self.garage, self.address)

    def start(self) -> None:
        self.listening = serving.listen(THIS_MACHINE, self.port)
        self.port = self.listening.getsockname()[1]
        config = uvicorn.Config(self.moods, log_level="warning", access_log=False, timeout_graceful_shutdown=1)
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [self.listening]}, daemon=True)
        self.thread.start()

    def stop(self) -> None:
        self.moods.answers.set()
        self.server.should_exit = True
        self.thread.join()
        self.listening.close()

    @contextlib.contextmanager
    def another_release(self, folder: Path) -> Iterator[None]:
        """Its place is taken by a checkout whose look has changed, on the same record."""
        self.stop()
        for name in SHIPPED:
            shutil.copytree(ROOT / name, folder / name)
        shutil.copy(ROOT / "pyproject.toml", folder)
        with (folder / "static" / "look.css").open("a", encoding="utf-8") as look:
            look.write("\n/* another release */\n")
        data = str(self.garage.settings.data)
        command = [sys.executable, "-m", "app", "serve", "--port", str(self.port), "--data", data]
        with subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, text=True) as process:
            assert process.stdout is not None
            assert "Witnessmark is at" in process.stdout.readline()
            urllib.request.urlopen(f"{self.address}/sw.js").close()  # noqa: S310 - our own loopback address
            try:
                yield
            finally:
                process.terminate()
        self.start()


def open_car(page: Page, bay: Bay, car: str = "tern") -> None:
    """Open a car's page, and wait until the worker has it in its care."""
    page.goto(f"{bay.address}/cars/{car}")
    page.evaluate("navigator.serviceWorker.ready")
    page.evaluate(
        "navigator.serviceWorker.controller ||"
        " new Promise(done => navigator.serviceWorker.addEventListener('controllerchange', done, {once: true}))"
    )


def take_along(page: Page, bay: Bay, car: str = "tern") -> None:
    open_car(page, bay, car)
    page.get_by_role("switch", name="Take along").tap()
    page.get_by_text("On this phone as of").wait_for(timeout=60_000)


def caches(page: Page) -> list[str]:
    names: list[str] = page.evaluate("caches.keys()")
    return names


def kept_pages(page: Page) -> list[str]:
    """The paths of the pages that lie on the phone."""
    script = "caches.open('pages').then(c => c.keys()).then(all => all.map(one => new URL(one.url).pathname))"
    paths: list[str] = page.evaluate(script)
    return paths


_MODULE = "document.querySelector('script[src$=\"/bay.js\"]').src.replace('bay.js', '{name}.js')"


def keep(page: Page, kind: str, record: str, **fields: str) -> None:
    """What a form does at a tap: one entry is written into the phone's outbox."""
    script = f"""async ([kind, record, fields]) => {{
      const {{ keep }} = await import({_MODULE.format(name="outbox")});
      const at = new Date().toISOString();
      const entry = {{ id: crypto.randomUUID(), kind, record, version: 1, fields, happened_at: at, entered_at: at }};
      await keep([{{ ...entry, says: "Kept", page: document.title }}]);
    }}"""
    page.evaluate(script, [kind, record, fields])


def send(page: Page) -> list[str]:
    """Send what waits; the records of the entries the garage has taken."""
    script = f"async () => (await (await import({_MODULE.format(name='sender')})).send()).taken.map(one => one.record)"
    taken: list[str] = page.evaluate(script)
    return taken
