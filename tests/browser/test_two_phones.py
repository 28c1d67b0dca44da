"""Two phones at work on one job with no signal: what they enter merges, and what lost stays to be seen."""

from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.away import said
from tests.browser.conftest import SCREEN, let_in, running
from tests.browser.pocket import AWAY, RESTING_PLACE, lay, send, waiting, weather_before
from tests.conftest import Enter
from tests.torture.proxy import FAIR, Proxy

JOB = "/jobs/j1"
EDIT = f"{JOB}/edit"
COUPLER, HOSE = "tern.coupler", "tern.gauge_hose"


@dataclass
class Held:
    """A phone with a tab open; nothing it enters gets through until it comes back."""

    page: Page
    address: str
    weather: Proxy

    def open(self, path: str) -> Page:
        self.page.goto(self.address + path)
        lay(self.page)
        return self.page

    def come_back(self) -> None:
        self.weather.weather = FAIR
        self.open(RESTING_PLACE)
        send(self.page)
        assert waiting(self.page) == []


@pytest.fixture
def phones(browser: Browser, garage: Garage, tern: str, enter: Enter) -> Iterator[tuple[Held, Held]]:
    """Hers and his, neither with a signal."""
    enter("job", "j1", car=tern, title="Boost leak", opened_at="2026-04-18T10:40", air_temp_c=12)
    with ExitStack() as stack:
        served = stack.enter_context(running(garage))
        yield _held(browser, garage, served, stack), _held(browser, garage, served, stack)


def _held(browser: Browser, garage: Garage, served: str, stack: ExitStack) -> Held:
    proxy, address = stack.enter_context(weather_before(served))
    context = browser.new_context(
        viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    stack.callback(context.close)
    context.set_default_timeout(30_000)
    let_in(context, garage, address)
    proxy.weather = AWAY
    return Held(context.new_page(), address, proxy)


def correct(phone: Held, **boxes: str) -> None:
    """Type into boxes of the job's own form and keep it; it goes on to the job."""
    page = phone.open(EDIT)
    for name, text in boxes.items():
        page.locator(f"[name={name}]").fill(text)
    page.get_by_role("button", name="Keep it", exact=True).tap()
    page.wait_for_url("**/jobs/j1")
    expect(page.locator("#waiting b")).to_be_visible()


def touch(phone: Held, line: str, how: str) -> None:
    page = phone.open(JOB)
    page.locator(f".tap[href$='/touch/{line}']").dispatch_event("click")
    button = page.locator(f"[id='s.{line}'][open]").get_by_role("button", name=how, exact=True)
    button.tap()
    expect(button).to_have_attribute("aria-pressed", "true")


def back_on(phone: Held, joint: str) -> None:
    phone.page.locator(f"[id='e.{joint}']").get_by_role("button", name="Back on").tap()
    expect(phone.page.locator(f"[id='e.{joint}'].on")).to_be_visible()


def look(phone: Held, path: str) -> list[str]:
    """What the garage says by now, on this phone."""
    return said(phone.open(path))


def history(phone: Held, path: str) -> list[str]:
    """A record's own history, an entry a line, newest first."""
    entries = phone.open(path).locator("ol.told > li").all_inner_texts()
    return [" ".join(one.split()) for one in entries]


def test_what_two_enter_in_different_boxes_stands_side_by_side(phones: tuple[Held, Held]) -> None:
    hers, his = phones
    correct(hers, title="Coupler off the throttle")
    correct(his, air_temp_c="4,5")
    touch(hers, COUPLER, "Off at both ends")
    touch(his, HOSE, "Off at the manifold")
    back_on(hers, f"{COUPLER}.from")
    his.come_back()
    hers.come_back()
    seen = [look(one, JOB) for one in phones]
    assert seen[0] == seen[1]
    for words in ("Coupler off the throttle", "4.5 °C", "3 of 3 to go"):
        assert words in " ".join(seen[0]), words


def test_of_two_in_one_box_the_later_counts_and_the_other_is_seen_in_the_history(phones: tuple[Held, Held]) -> None:
    hers, his = phones
    correct(hers, title="Coupler", note="The coupler first")
    correct(his, title="Gauge hose")
    his.come_back()
    hers.come_back()  # hers was entered before, and arrives after
    seen = [look(one, JOB) for one in phones]
    assert seen[0] == seen[1]
    assert seen[0][0] == "Gauge hose"
    assert "The coupler first" in seen[0]  # the rest of what she entered with it counts
    told = history(hers, "/records/job/j1/history")
    assert [one for one in told if "Coupler never took effect: Gauge hose was entered later" in one] != [], told
    assert "Gauge hose" in told[0]


def test_one_line_touched_by_both_is_one_touch(phones: tuple[Held, Held]) -> None:
    hers, his = phones
    touch(his, COUPLER, "Reached past")
    touch(hers, COUPLER, "Off at both ends")
    back_on(hers, f"{COUPLER}.to")
    hers.come_back()
    his.come_back()
    seen = [look(one, JOB) for one in phones]
    assert seen[0] == seen[1]
    assert "2 of 2 to go" in " ".join(seen[0])
    told = history(his, f"/records/touch/j1.{COUPLER}/history")
    assert [one for one in told if "reached past" in one.lower() and "never took effect" in one] != [], told
