"""A real Chromium, held as a phone is, looking at the real program on a loopback port."""

import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Literal

import pytest
import uvicorn
from PIL import Image
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Page,
    Request,
    ViewportSize,
    expect,
    sync_playwright,
)

from app import serving
from app.phone.cookie import PLAIN_COOKIE
from app.phone.pairing import new_link
from app.records.garage import Garage
from app.settings import THIS_MACHINE, Settings
from tests.browser.pocket import put_away
from tests.conftest import paired

NAMES = ("chromium", "chromium-browser", "google-chrome")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SCREEN = ViewportSize(width=412, height=915)
PICTURES = Path(__file__).parent.parent.parent / ".pictures"
AXE = Path(__file__).parent.parent / "vendor" / "axe-core-4.14.1.min.js"
#: WCAG 2.2 AA, and beyond it: text at 7 to 1, for the dark and for the sun.
AXE_OPTIONS = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]},
    "rules": {"target-size": {"enabled": True}, "color-contrast-enhanced": {"enabled": True}},
}
#: What night changes, and nothing else: tests/test_architecture.py holds us to it.
COLOURS = {**AXE_OPTIONS, "runOnly": {"type": "rule", "values": ["color-contrast", "color-contrast-enhanced"]}}
#: The violations alone: to bring all that passed out of the browser takes six times as long as looking.
LOOK_OVER = """async options => (await axe.run(document, options)).violations.map(
  one => `${one.id}: ${one.nodes[0].html.slice(0, 200)}`)"""
#: A page that breaks the policy says so on the console, where `phone` listens.
REPORT_VIOLATIONS = """
document.addEventListener("securitypolicyviolation", e => console.error(`CSP ${e.violatedDirective} ${e.blockedURI}`));
"""

#: On a slow machine.
LONGEST_TEST_S = 150

# A busy machine is no fault of the page.
expect.set_options(timeout=20_000)

Axe = Callable[[Page], list[str]]
Scheme = Literal["light", "dark"]
#: For a test of what a script draws, or a picture shows, in the colours of the hour.
DAY_AND_NIGHT = pytest.mark.parametrize("scheme", ["light", "dark"])


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """All that lies here needs a browser."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@dataclass
class Phone:
    """A page on a phone's screen, and whatever went wrong on it."""

    page: Page
    scheme: str
    troubles: list[str] = field(default_factory=list)


def chromium() -> str | None:
    """The browser to drive, if there is one."""
    return os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)


@pytest.fixture(autouse=True)
def within_one_day() -> None:
    """No test begins when its day is about to end: what stood on a page as "today" would read "yesterday"."""
    here = datetime.now().astimezone()
    left = (here.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1) - here).total_seconds()
    if left < LONGEST_TEST_S:
        time.sleep(left + 1)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = chromium()
    if found is None:
        sentence = f"Browser tests need a Chromium: none of {', '.join(NAMES)} on PATH, and CHROMIUM is not set."
        if os.environ.get("WITNESSMARK_BROWSER") == "required":
            pytest.fail(sentence)
        pytest.skip(sentence)
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield launched
        launched.close()


@contextmanager
def running(garage: Garage, *, gated: bool = True) -> Iterator[str]:
    """The address of the real program, serving `garage` from a thread."""
    listening = serving.listen(THIS_MACHINE, 0)
    server = uvicorn.Server(serving.configured(garage, gated=gated))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    yield serving.address(listening).rstrip("/")
    server.should_exit = True
    thread.join()
    listening.close()


def pair(page: Page, garage: Garage, address: str) -> None:
    """Pair a browser the way a person does: open a fresh link, and tap its button."""
    page.goto(new_link(garage, address))
    page.get_by_role("button", name="Pair this device").tap()
    page.wait_for_url(lambda url: "/pair/" not in url)


def let_in(context: BrowserContext, garage: Garage, address: str) -> None:
    """Pair a browser that is to see no page of the program yet."""
    context.add_cookies([{"name": PLAIN_COOKIE, "value": paired(garage, "phone"), "url": address}])


@pytest.fixture
def address(garage: Garage) -> Iterator[str]:
    """The address of a garage that holds only what the test enters, open to whoever is let in."""
    with running(garage) as at:
        yield at


@pytest.fixture
def served(address: str, garage: Garage, phone: "Phone") -> str:
    """The same; `phone` is paired with it."""
    let_in(phone.page.context, garage, address)
    return address


@pytest.fixture
def served_demo(told_demo: Path, tmp_path: Path) -> Iterator[str]:
    """The address of a fresh demo garage."""
    garage = Garage.open(Settings(Path(shutil.copytree(told_demo, tmp_path / "demo"))))
    with running(garage, gated=False) as address:
        yield address
    garage.close()


@pytest.fixture(scope="module")
def demo_address(told_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of one demo garage for all the tests of a file, which leave it as it was or take what they find."""
    garage = Garage.open(Settings(Path(shutil.copytree(told_demo, tmp_path_factory.mktemp("demo") / "demo"))))
    with running(garage, gated=False) as address:
        yield address
    garage.close()


@contextmanager
def in_hand(browser: Browser, scheme: Scheme, *, scripts: bool = True) -> Iterator[Phone]:
    """A phone. Anything its console complains of fails the test."""
    context = browser.new_context(
        viewport=SCREEN,
        device_scale_factor=2,
        is_mobile=True,
        has_touch=True,
        color_scheme=scheme,
        reduced_motion="reduce",
        locale="en-GB",
        java_script_enabled=scripts,
    )
    context.set_default_timeout(30_000)  # a busy machine is no fault of the page
    context.add_init_script(REPORT_VIOLATIONS)
    held = Phone(context.new_page(), scheme)
    held.page.on("console", lambda said: held.troubles.extend(_troubles(said)))
    held.page.on("pageerror", lambda error: held.troubles.append(str(error)))
    held.page.on("requestfailed", lambda asked: held.troubles.extend(_failure(asked, scripts=scripts)))
    yield held
    put_away(context)
    assert held.troubles == []


#: What Chromium says of a garage that a test has ended before its page.
GONE = "net::ERR_CONNECTION_REFUSED"


def _troubles(said: ConsoleMessage) -> list[str]:
    # A form shown again with what was wrong in it answers 422, and Chromium notes each; it notes the worker's script
    # that was still on its way when the page was left; and, on a busy machine, what was fetched ahead and waits longer
    # than three seconds for the script that asks for it.
    expected = (
        "status of 422",
        "An unknown error occurred when fetching the script.",
        "preloaded using link preload",
        GONE,
    )
    return [said.text] if said.type in {"error", "warning"} and not any(one in said.text for one in expected) else []


def _failure(asked: Request, *, scripts: bool) -> list[str]:
    # What was still on its way when the page was left, or its garage put away, is no failure; nor is a script where
    # none is to run.
    expected = asked.failure in {"net::ERR_ABORTED", GONE} or (not scripts and asked.url.endswith(".js"))
    return [] if expected else [f"{asked.url}: {asked.failure}"]


@pytest.fixture
def scheme() -> Scheme:
    """By day, unless the test is for DAY_AND_NIGHT: night changes colours alone, and `axe` looks at those in both."""
    return "light"


@pytest.fixture
def phone(browser: Browser, scheme: Scheme) -> Iterator[Phone]:
    """A phone in a hand."""
    with in_hand(browser, scheme) as held:
        yield held


@pytest.fixture(scope="session")
def axe() -> Axe:
    """What axe-core finds wrong with a page, by day and by night: rule, and the first element that breaks it."""
    source = AXE.read_text(encoding="utf-8")

    def found(page: Page) -> list[str]:
        stood: Scheme = "dark" if page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches") else "light"
        page.evaluate(source)
        page.emulate_media(color_scheme="light")
        by_day: list[str] = page.evaluate(LOOK_OVER, AXE_OPTIONS)
        page.emulate_media(color_scheme="dark")
        by_night: list[str] = page.evaluate(LOOK_OVER, COLOURS)
        page.emulate_media(color_scheme=stood)
        return by_day + [f"by night, {one}" for one in by_night]

    return found


@pytest.fixture
def picture(phone: Phone) -> Callable[[str], None]:
    """Keep the screen as a picture for the README, when the variable WITNESSMARK_PICTURES says so."""

    def keep(name: str) -> None:
        if os.environ.get("WITNESSMARK_PICTURES"):
            with Image.open(BytesIO(phone.page.screenshot())) as taken:
                # A third of the weight, and no eye can tell: few colours, and their mixes at the letters' edges.
                few = taken.convert("RGB").quantize(64, dither=Image.Dither.NONE)
            few.save(PICTURES / f"{name}-{phone.scheme}.png", optimize=True)

    return keep
