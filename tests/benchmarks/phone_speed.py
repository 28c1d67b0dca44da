"""How fast a phone is with it: in a real Chromium, with its processor slowed down four times.

    python -m tests.benchmarks.phone_speed [--taps 60] [--starts 9] [--slower 4] [--only taps]

`tap to kept` runs from the tap to the moment the strip counts the entry, which is after it is on the disk, with the
garage gone. `cold start` opens a kept page in a browser that was just started, with the garage gone, until all that
waits is laid over it and it is painted. The slowing down holds for the page; Chromium offers none for its worker.
Bytes are what the garage sends, as compressed; the worker's own are counted apart.
"""

import argparse
import statistics
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.phone.cookie import PLAIN_COOKIE
from app.records import demo
from tests.browser.bay import Bay, keep, open_car, take_along
from tests.browser.conftest import FLAGS, SCREEN, chromium
from tests.conftest import paired

CAR, JOB, TICKET = "/cars/tern", "/jobs/tern.clutch", "/tickets/tern.low-boost"
#: The longest page there is.
OPEN_JOB = "/jobs/tern.coupler-and-breather"
FURTHER = (
    CAR,
    JOB,
    OPEN_JOB,
    TICKET,
    "/lines/tern.boost_source",
    "/cars/tern/air-path",
    "/cars/tern/touched",
    "/cars/tern/jobs",
    "/cars/tern/tickets",
    "/cars/tern/readings",
    "/cars/tern/readings/new/idle_vacuum",
    "/cars/tern/stopgaps",
    "/cars/tern/rechecks",
    "/cars/tern/build-sheet",
)
#: Notes what happens to a page from its first moment.
WATCH = """
window.seen = {shift: 0, laid: 0, taps: []};
new PerformanceObserver(list => {
  for (const one of list.getEntries()) if (!one.hadRecentInput) seen.shift += one.value;
}).observe({type: "layout-shift", buffered: true});
document.addEventListener("laid", () => { seen.laid ||= performance.now(); });
document.addEventListener("click", event => { seen.tapped = event.timeStamp; }, {capture: true});
document.addEventListener("DOMContentLoaded", () => {
  const count = document.querySelector("#waiting b");
  if (count) new MutationObserver(() => {
    if (seen.tapped) seen.taps.push(performance.now() - seen.tapped);
    seen.tapped = 0;
  }).observe(count, {childList: true, characterData: true, subtree: true});
});
"""
PAINTED = """() => new Promise(done => {
  const look = () => {
    const paint = performance.getEntriesByName("first-contentful-paint")[0];
    if (seen.laid && paint) done(Math.max(seen.laid, paint.startTime)); else requestAnimationFrame(look);
  };
  look();
})"""
COUNTED = """n => new Promise(done => {
  const look = () => seen.taps.length > n ? done() : requestAnimationFrame(look);
  look();
})"""
#: Two buttons of one line, which leave the page where it is.
TOUCHED = "tern.boost_source"
SAYS = ("Clamp moved", "Reached past")


@dataclass
class Scales:
    """Weighs what an application sends."""

    app: ASGIApp
    sent: dict[str, int] = field(default_factory=dict)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def weigh(message: Message) -> None:
            if message["type"] == "http.response.body":
                self.sent[scope["path"]] = self.sent.get(scope["path"], 0) + len(message.get("body", b""))
            await send(message)

        await self.app(scope, receive, weigh)

    def weighed(self) -> int:
        total = sum(self.sent.values())
        self.sent.clear()
        return total


@dataclass
class Phone:
    """What the measurements share."""

    playwright: Playwright
    bay: Bay
    scales: Scales
    slower: float
    paired: str

    @contextmanager
    def opened(self, folder: Path, *, workers: bool = True) -> Iterator[BrowserContext]:
        """A browser started just now, with the memory that lies in `folder`."""
        context = self.playwright.chromium.launch_persistent_context(
            folder,
            executable_path=chromium(),
            args=FLAGS,
            viewport=SCREEN,
            device_scale_factor=2,
            is_mobile=True,
            has_touch=True,
            service_workers="allow" if workers else "block",
        )
        context.add_init_script(WATCH)
        context.add_cookies([{"name": PLAIN_COOKIE, "value": self.paired, "url": self.bay.address}])
        yield context
        context.close()

    def slow(self, page: Page) -> None:
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": self.slower})


@dataclass(frozen=True)
class Figure:
    """One measured figure beside what it may be at most."""

    what: str
    value: float
    most: float | None
    unit: str

    def __str__(self) -> str:
        most = "" if self.most is None else f"{self.most:g}"
        said = "" if self.most is None else "holds" if self.value <= self.most else "TOO MUCH"
        return f"{self.what:58} {self.value:10.4g} {self.unit:4} {most:>6}  {said}"


def weights(phone: Phone, folder: Path) -> Iterator[Figure]:
    """A first visit brings the page and what it asks for; the worker then fetches the rest that pages are made of."""
    with phone.opened(folder / "bytes", workers=False) as context:
        page = context.new_page()
        phone.scales.weighed()
        page.goto(phone.bay.address + CAR, wait_until="networkidle")
        yield Figure(f"first load, {CAR}", phone.scales.weighed() / 1000, 150, "kB")
    with phone.opened(folder / "worker") as context:
        page = context.new_page()
        open_car(page, phone.bay)
        page.wait_for_load_state("networkidle")
        yield Figure("first load and everything the worker keeps", phone.scales.weighed() / 1000, 150, "kB")
        further = {}
        for path in FURTHER:
            page.goto(phone.bay.address + path, wait_until="networkidle")
            pages = {one: sent for one, sent in phone.scales.sent.items() if "/kept/" not in one}
            further[path] = sum(pages.values()) / 1000
            shared = {one: sent for one, sent in phone.scales.sent.items() if "/kept/" in one}
            phone.scales.weighed()
            for one, sent in shared.items():
                yield Figure(f"once for the car: {one.split('/')[-2]}", sent / 1000, None, "kB")
        heaviest = max(further, key=further.__getitem__)
        yield Figure(f"a further page, the heaviest of {len(FURTHER)}: {heaviest}", further[heaviest], 15, "kB")
        take_along(page, phone.bay)
        yield Figure("a car taken along, once", phone.scales.weighed() / 1000, None, "kB")


def shifts(phone: Phone, folder: Path) -> Iterator[Figure]:
    """Every page, live and kept, with an entry that waits and is laid over it."""
    with phone.opened(folder / "shifts") as context:
        page = context.new_page()
        take_along(page, phone.bay)
        context.route("**/entries", lambda route: route.abort())
        keep(page, "job", "tern.clutch", title="Clutch, and a name long enough to wrap on to the next line of a page")
        for how in ("live", "kept"):
            if how == "kept":
                phone.bay.stop()
            worst = 0.0
            for path in FURTHER:
                page.goto(phone.bay.address + path)
                phone.slow(page)
                page.reload()
                page.evaluate(PAINTED)
                page.evaluate("new Promise(done => setTimeout(done, 1000))")  # what comes late would shift it too
                worst = max(worst, page.evaluate("seen.shift"))
            yield Figure(f"layout shift, the worst of {len(FURTHER)} {how} pages", worst, 0, "")
    phone.bay.start()


def cold_starts(phone: Phone, folder: Path, starts: int) -> Iterator[Figure]:
    with phone.opened(folder / "cold") as context:
        take_along(context.new_page(), phone.bay)
    phone.bay.stop()
    for path in (CAR, OPEN_JOB, TICKET):
        taken = []
        for _ in range(starts):
            with phone.opened(folder / "cold") as context:
                page = context.new_page()
                phone.slow(page)
                page.goto(phone.bay.address + path)
                taken.append(float(page.evaluate(PAINTED)))
        yield Figure(f"cold start offline, {path}, median of {starts}", statistics.median(taken), 1000, "ms")
        yield Figure(f"cold start offline, {path}, slowest of {starts}", max(taken), 1000, "ms")
    phone.bay.start()


def taps(phone: Phone, folder: Path, how_many: int) -> Iterator[Figure]:
    with phone.opened(folder / "taps") as context:
        page = context.new_page()
        take_along(page, phone.bay)
        phone.bay.stop()
        page.goto(phone.bay.address + OPEN_JOB)
        page.locator(f'[data-opens] a[href$="/{TOUCHED}"]').first.dispatch_event("click")
        sheet = page.locator(f'[id="s.{TOUCHED}"]')
        sheet.get_by_role("button", name=SAYS[0]).wait_for()
        phone.slow(page)
        for n in range(how_many):
            sheet.get_by_role("button", name=SAYS[n % 2]).tap()
            page.evaluate(COUNTED, n)
        taken = sorted(page.evaluate("seen.taps"))
    phone.bay.start()
    yield Figure(f"tap to kept, median of {len(taken)}", statistics.median(taken), None, "ms")
    yield Figure(f"tap to kept, 95th percentile of {len(taken)}", taken[int(len(taken) * 0.95)], 100, "ms")


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--taps", type=int, default=60)
    parser.add_argument("--starts", type=int, default=9)
    parser.add_argument("--slower", type=float, default=4)
    parser.add_argument("--only", default="", choices=("", "weights", "cold_starts", "taps", "shifts"))
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        garage = demo.fresh(folder / "garage", datetime.now().astimezone())
        bay = Bay(garage)
        bay.moods.app = scales = Scales(bay.moods.app)
        phone = Phone(playwright, bay, scales, options.slower, paired(garage, "benchmark"))
        measures: dict[str, Callable[[], Iterator[Figure]]] = {
            "weights": lambda: weights(phone, folder),
            "cold_starts": lambda: cold_starts(phone, folder, options.starts),
            "taps": lambda: taps(phone, folder, options.taps),
            "shifts": lambda: shifts(phone, folder),
        }
        print(f"{'':58} {'measured':>10} {'':4} {'most':>6}")
        for name_of, measure in measures.items():
            for figure in measure() if options.only in {"", name_of} else ():
                print(figure, flush=True)
        bay.stop()
        garage.close()


if __name__ == "__main__":
    main()
