"""Finding with the garage gone, drawing on a photo with taps, and the scanner, in a real browser."""

import io
import json
from collections.abc import Iterator

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.photos.reencode import reencode
from app.records.garage import Garage
from app.records.logbook import now
from app.records.photos import photo, put_picture
from tests.browser.bay import Bay, keep, take_along
from tests.browser.conftest import REPORT_VIOLATIONS, SCREEN
from tests.browser.pocket import put_away, send, strip, waiting
from tests.conftest import Enter

AT = "2026-04-20T10:00:00Z"
#: A camera that sees a plain wall, and a reader that reads off it whatever the test holds up.
SEES = """
navigator.mediaDevices.getUserMedia = async () => {
  const wall = document.createElement("canvas");
  wall.getContext("2d").fillRect(0, 0, 9, 9);
  return wall.captureStream();
};
window.BarcodeDetector = class { async detect() { return window.heldUp ? [{ rawValue: window.heldUp }] : []; } };
"""


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    enter("job", "coupler", car=tern, title="Coupler off and on", opened_at=AT, note="Brittle at the throttle")
    enter("photo", "p1", car=tern, job="coupler", taken_at=AT)
    out = io.BytesIO()
    Image.new("RGB", (800, 600), "grey").save(out, "JPEG")
    put_picture(garage.engine, "p1", reencode(out.getvalue()), now())
    opened = Bay(garage)
    yield opened
    opened.stop()


@pytest.fixture
def context(browser: Browser, bay: Bay) -> Iterator[BrowserContext]:
    opened = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    opened.set_default_timeout(60_000)
    opened.add_init_script(REPORT_VIOLATIONS)
    bay.let_in(opened)
    yield opened
    put_away(opened)


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("console", lambda said: troubles.append(said.text) if said.text.startswith("CSP ") else None)
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    yield opened
    assert troubles == []


def test_without_the_garage_the_pages_taken_along_and_what_waits_are_looked_through(page: Page, bay: Bay) -> None:
    take_along(page, bay)
    bay.stop()
    keep(page, "finding", "f1", car="tern", job="coupler", what="Brittle breather too", seen_at=AT)
    page.goto(f"{bay.address}/cars/tern")
    page.get_by_role("link", name="Find", exact=True).tap()
    box = page.get_by_role("searchbox", name="What to find")
    box.fill("BRITTLE")
    page.get_by_role("button", name="Find", exact=True).tap()
    found = page.locator("#phone-found")
    expect(found.get_by_role("link", name="Coupler off and on")).to_have_attribute("href", "/jobs/coupler")
    expect(found.get_by_text("waits on this phone")).to_be_visible()
    expect(found.get_by_role("status")).to_contain_text("Without the garage only the pages of cars taken along")
    expect(box).to_have_value("BRITTLE")
    box.fill("zebra")
    page.get_by_role("button", name="Find", exact=True).tap()
    expect(page.get_by_role("status").filter(has_text="No page on this phone holds all of this")).to_be_visible()


def test_a_ring_and_an_arrow_are_drawn_with_taps_while_the_garage_is_gone_and_kept(
    page: Page, bay: Bay, garage: Garage
) -> None:
    take_along(page, bay)
    page.goto(f"{bay.address}/photos/p1")
    bay.stop()
    page.goto(f"{bay.address}/photos/p1")
    page.locator("#drawing > summary").tap()
    picture = page.locator("#picture")
    size = picture.bounding_box()
    assert size is not None
    width, height = size["width"], size["height"]
    picture.tap(position={"x": width / 2, "y": height / 4})
    picture.tap(position={"x": 20, "y": 20})
    page.get_by_role("button", name="Undo").tap()
    page.locator("#draw").get_by_text("Arrow", exact=True).tap()
    picture.tap(position={"x": width * 0.9, "y": height * 0.9})
    expect(page.locator("#draw-says")).to_contain_text("Now tap where it points to")
    picture.tap(position={"x": width * 0.6, "y": height * 0.6})
    expect(page.locator("#drawn")).to_have_attribute("aria-label", "1 ring and 1 arrow drawn on it")
    page.get_by_role("button", name="Keep the drawing").tap()
    expect(page.locator("#waiting")).to_be_visible()
    assert strip(page).startswith("1 entry waits")
    page.reload()  # laid over the page that was kept
    expect(page.locator("#drawn")).to_have_attribute("aria-label", "1 ring and 1 arrow drawn on it")
    bay.start()
    send(page)
    assert waiting(page) == []
    with garage.read() as db:
        kept = photo(db, "p1")
    assert kept is not None
    assert kept.rings is not None
    assert kept.arrows is not None
    ((x, y),) = json.loads(kept.rings)
    assert (x, y) == (pytest.approx(0.5, abs=0.02), pytest.approx(0.25, abs=0.02))
    assert len(json.loads(kept.arrows)) == 2


def test_a_label_of_this_garage_is_followed_and_no_other(context: BrowserContext, page: Page, bay: Bay) -> None:
    context.add_init_script(SEES)
    page.goto(f"{bay.address}/scan")
    page.get_by_role("button", name="Use the camera").tap()
    expect(page.locator("#says")).to_contain_text("Looking for a code")
    for strange in ("https://elsewhere.example/lines/tern.coupler", "javascript:alert(1)", "no address at all"):
        page.evaluate("held => { window.heldUp = held; }", strange)
        expect(page.locator("#says")).to_contain_text("no label of this garage")
        assert page.url == f"{bay.address}/scan"
        page.evaluate("() => { window.heldUp = ''; }")
        expect(page.locator("#says")).to_contain_text("Looking for a code")
    page.evaluate("held => { window.heldUp = held; }", f"{bay.address}/lines/tern.coupler")
    page.wait_for_url(f"{bay.address}/lines/tern.coupler")


def test_a_browser_that_reads_no_codes_says_what_to_do(page: Page, bay: Bay) -> None:
    page.goto(f"{bay.address}/scan")
    expect(page.locator("#says")).to_contain_text("own camera app")
    expect(page.get_by_role("button", name="Use the camera")).to_be_hidden()
