"""What a phone away from the garage shows, open to anyone: what waits or was refused, and pages it has kept."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.bay import Bay, take_along
from tests.browser.conftest import SCREEN, Axe, in_hand
from tests.browser.eyes import trouble_on
from tests.browser.hand import expect_wrong, heading, write
from tests.browser.pocket import keep, put_away, rest, send, told

#: Where the strip of what waits is seen most.
STRIPPED = ("/cars", "/cars/tern", "/cars/tern/jobs/new", "/settings", "/take-along", "/cars/tern/jobs")


def keep_what_is_refused(page: Page) -> None:
    """A job whose odometer no server takes, and a touch of it, which has to wait for it."""
    moment = "@now"
    keep(page, told("job", "far", car="tern", title="Clutch", opened_at=moment, odometer="far"))
    keep(page, told("touch", "far.tern.coupler", job="far", line="tern.coupler", how="reached_past", at=moment))
    send(page)


def test_what_waits_and_what_was_refused_is_open_to_everyone(browser: Browser, demo_address: str, axe: Axe) -> None:
    trouble: list[str] = []
    with in_hand(browser, "light") as phone:
        page = rest(phone.page.context, demo_address)
        keep_what_is_refused(page)
        for path in (*STRIPPED, "/waiting"):
            page.goto(demo_address + path)
            expect(page.locator("#waiting")).to_contain_text("1 to be mended")
            trouble += [f"{path}: {one}" for one in trouble_on(page, axe)]
        expect(page.locator("#list details")).to_have_count(2)
        expect_wrong(page, "odometer", "Write a number, such as 5 or 5.5.")
    assert trouble == []


@pytest.fixture
def bay(garage: Garage, tern: str) -> Iterator[Bay]:
    opened = Bay(garage)
    yield opened
    opened.stop()


@pytest.fixture
def page(browser: Browser, bay: Bay, tern: str) -> Iterator[Page]:
    """A phone that took the car along, and a garage that is gone."""
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    context.set_default_timeout(30_000)
    opened = context.new_page()
    bay.let_in(context)
    take_along(opened, bay, tern)
    bay.stop()
    yield opened
    put_away(context)


def test_pages_out_of_the_phone_s_memory_are_open_to_everyone(page: Page, bay: Bay, tern: str, axe: Axe) -> None:
    trouble: list[str] = []

    def look(where: str) -> None:
        trouble.extend(f"{where}: {one}" for one in trouble_on(page, axe))

    for path in (f"/cars/{tern}", f"/cars/{tern}/air-path"):
        page.goto(bay.address + path)
        expect(page.locator("#kept")).to_contain_text("the garage does not answer")
        look(path)
    page.goto(f"{bay.address}/nowhere")
    heading(page, "Not on this phone")
    look("not on this phone")
    page.goto(f"{bay.address}/cars/{tern}/jobs/new")
    write(page, "What you are going to do", "Coupler")
    page.get_by_role("button", name="Open the job").tap()
    heading(page, "Coupler")
    expect(page.locator("#waiting")).to_be_visible()
    look("a job opened here")
    page.goto(f"{bay.address}/cars/{tern}/tickets/new")
    write(page, "What is not as it was", "Hisses")
    page.get_by_role("button", name="Report it").tap()
    heading(page, "Hisses")
    look("a ticket opened here")
    page.goto(f"{bay.address}/waiting")
    expect(page.locator("#list details")).to_have_count(2)
    look("what waits")
    assert trouble == []
