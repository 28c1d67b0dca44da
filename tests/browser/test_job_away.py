"""A whole job with the garage gone, from its first tap to its last, and what the garage says of it afterwards."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.bay import Bay, take_along
from tests.browser.conftest import REPORT_VIOLATIONS, SCREEN, Axe, Phone, let_in
from tests.browser.pocket import lay, put_away, run, send, waiting
from tests.conftest import Enter

COUPLER, HOSE, INLET, PURGE = "tern.coupler", "tern.gauge_hose", "tern.inlet", "tern.purge"
#: Every list, and what stands over the page: what is seen of them, as a person reads it.
_SAID = """() => {
  for (const one of document.querySelectorAll("noscript")) one.remove();  // said to nobody with scripts
  const said = "[data-list], header h1, header p:not(.on-paper), #loose-ends";
  return Object.fromEntries([...document.querySelectorAll(said)]
  .map((one, n) => [one.dataset.list ?? one.id + n,
    one.innerText.split(/\\n+/).map(line => line.trim()).filter(Boolean)]));
}"""


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    about = {"car": tern, "name": "Purge hose", "role": "purge", "material": "rubber", "number": 4}
    enter("line", "tern.purge", **about, from_component="tern.manifold", to_component="tern.compressor")
    for end in ("from", "to"):
        enter("joint", f"tern.purge.{end}", line="tern.purge", end=end, hold="push_on")
    enter("joint", "tern.coupler.to", torque_value=5, torque_tolerance=0.5, torque_unit="N.m", hard_to_reach="yes")
    opened = Bay(garage)
    yield opened
    opened.stop()


@pytest.fixture
def page(browser: Browser, bay: Bay) -> Iterator[Page]:
    """A phone that has the car's pages with it, and then a garage that is gone."""
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    context.add_init_script(REPORT_VIOLATIONS)
    let_in(context, bay.garage, bay.address)
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("console", lambda said: troubles.append(said.text) if said.text.startswith("CSP ") else None)
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    take_along(opened, bay)
    opened.goto(f"{bay.address}/cars/tern/jobs/new")
    bay.stop()
    yield opened
    put_away(context)
    assert troubles == []


def open_job(page: Page) -> None:
    page.get_by_label("What you are going to do").fill("Coupler and what is in the way")
    page.get_by_text("Cold", exact=True).tap()
    page.get_by_label("Air temperature").fill("4,5")
    page.get_by_role("button", name="Open the job").tap()
    expect(page.get_by_role("heading", name="Coupler and what is in the way", level=1)).to_be_visible()
    run(page, "await bay('bay.js');")  # a tap before that leads to a page of its own


def touch(page: Page, line: str, how: str) -> None:
    """Tap a line on the drawing, and say what was done; wait until the line's sheet says so."""
    page.locator(f".tap[href$='/touch/{line}']").dispatch_event("click")
    button = page.locator(f"[id='s.{line}'][open]").get_by_role("button", name=how, exact=True)
    button.tap()
    expect(button).to_have_attribute("aria-pressed", "true")


def fold(page: Page) -> None:
    page.locator(".sheet[open] summary").tap()


def end(page: Page, joint: str) -> str:
    """The classes of a loose end's row."""
    return page.locator(f"[id='e.{joint}']").get_attribute("class") or ""


def said(page: Page) -> dict[str, list[str]]:
    """What the page says, once all that is on this phone is laid over it."""
    lay(page)
    found: dict[str, list[str]] = page.evaluate(_SAID)
    return found


def at_the_garage(browser: Browser, bay: Bay, page: Page, *, scripts: bool) -> dict[str, list[str]]:
    """What the garage's own page says to somebody who has entered nothing."""
    context = browser.new_context(viewport=SCREEN, service_workers="block", java_script_enabled=scripts)
    let_in(context, bay.garage, bay.address)
    looking = context.new_page()
    looking.goto(bay.address + page.evaluate("location.pathname"))
    found: dict[str, list[str]] = said(looking) if scripts else looking.evaluate(_SAID)
    put_away(context)
    return found


def come_back(browser: Browser, bay: Bay, page: Page) -> None:
    """Send what waits; the garage's page says to the letter what the phone has shown, with scripts and without."""
    shown = said(page)
    bay.start()
    send(page)
    assert waiting(page) == []
    assert at_the_garage(browser, bay, page, scripts=True) == shown
    assert at_the_garage(browser, bay, page, scripts=False) == shown


def check(page: Page, joint: str, torque: str) -> None:
    page.locator(f"[id='e.{joint}'] > a").tap()
    sheet = page.locator(".sheet[open]")
    sheet.get_by_label("Torque reached").fill(torque)
    sheet.get_by_text("Seated", exact=True).tap()
    sheet.get_by_text("Drawn now").tap()
    sheet.get_by_role("button", name="Keep the check").tap()


def test_a_whole_job_is_done_with_the_garage_gone(browser: Browser, page: Page, bay: Bay) -> None:
    open_job(page)
    for line, how in (
        (COUPLER, "Off at both ends"),
        (HOSE, "Reached past"),
        (INLET, "Clamp moved"),
        (PURGE, "Replaced"),
    ):
        touch(page, line, how)
    fold(page)
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 4 of 4 to go")
    page.reload()  # all of it is on the phone
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 4 of 4 to go")
    touch(page, PURGE, "Off at the manifold")  # it was not that bad
    page.locator(".sheet[open]").get_by_role("button", name="Not touched after all").tap()
    touch(page, PURGE, "Off at the compressor")
    fold(page)
    page.locator("[id='e.tern.coupler.from']").get_by_role("button", name="Back on").tap()
    check(page, "tern.coupler.to", "9")
    question = page.get_by_role("checkbox", name="9 N·m is outside what this joint allows")
    expect(question).to_be_visible()
    page.locator(".sheet[open]").get_by_label("Torque reached").fill("5,1")
    page.locator(".sheet[open]").get_by_role("button", name="Keep the check").tap()
    expect(page.locator("[id='e.tern.coupler.to']")).to_contain_text("5.1\N{NO-BREAK SPACE}N·m, seated, mark drawn")
    page.get_by_role("button", name="Not sound").first.tap()
    page.get_by_role("link", name="Say what you found").tap()
    page.get_by_label("What you saw").fill("Cracked at the barb")
    page.get_by_text("Must be dealt with").tap()
    page.get_by_role("button", name="Keep it").tap()
    expect(page.locator("[data-list=finding]")).to_contain_text(
        "Gauge hose, manifold to gauge · seen today", use_inner_text=True
    )
    page.get_by_role("link", name="Part on / off").tap()
    page.get_by_label("What came off").fill("Worm-drive clamp")
    page.get_by_label("What went on").fill("T-bolt clamp")
    page.get_by_label("A line").select_option("tern.coupler")
    page.get_by_role("button", name="Keep it").and_(page.locator(":visible")).tap()
    expect(page.locator("[data-list=part_change]")).to_contain_text("On: T-bolt clamp")
    page.get_by_role("link", name="Close the job").tap()
    page.get_by_role("button", name="Close the job").tap()
    expect(page.get_by_text("Joints not back on and checked: 2.")).to_be_visible()
    page.get_by_label("Why they are carried over").fill("The clamp comes on Friday")
    page.get_by_role("button", name="Close the job").tap()
    expect(page.get_by_role("button", name="Reopen the job")).to_be_visible()
    come_back(browser, bay, page)
    with bay.garage.read() as db:
        found = db.exec_driver_sql("SELECT what FROM recheck WHERE car = 'tern' ORDER BY what").scalars().all()
    assert found == [
        "Throttle coupler, at the compressor",
        "Throttle coupler, at the throttle",
        "Throttle to manifold, clamp moved",
    ]


def test_what_was_called_back_does_not_speak_for_a_joint_that_comes_off_again(
    browser: Browser, page: Page, bay: Bay
) -> None:
    open_job(page)
    touch(page, COUPLER, "Off at the throttle")
    fold(page)
    check(page, "tern.coupler.to", "5")
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 0 of 1 to go")
    touch(page, COUPLER, "Reached past")
    expect(page.locator("#ends .end:visible")).to_have_count(0)
    touch(page, COUPLER, "Off at both ends")
    fold(page)
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 2 of 2 to go")
    assert "off" in end(page, "tern.coupler.to").split()
    touch(page, COUPLER, "Replaced")
    page.get_by_role("button", name="Both ends back on").tap()
    fold(page)
    check(page, "tern.coupler.from", "")
    page.locator("[id='e.tern.coupler.from'] > a").tap()
    page.get_by_role("button", name="Off again").tap()
    expect(page.locator("[id='e.tern.coupler.from'] .s-off").first).to_be_visible()
    come_back(browser, bay, page)


def test_what_was_touched_is_looked_up_on_the_phone(browser: Browser, page: Page, bay: Bay) -> None:
    open_job(page)
    touch(page, COUPLER, "Off at the throttle")
    fold(page)
    check(page, "tern.coupler.to", "5")
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 0 of 1 to go")
    for line, how in ((HOSE, "Reached past"), (INLET, "Clamp moved"), (PURGE, "Off at both ends")):
        touch(page, line, how)
    page.get_by_role("button", name="Looked at, sound").first.tap()
    expect(page.get_by_role("button", name="Not looked at after all")).to_be_visible()
    page.goto(f"{bay.address}/cars/tern/touched")
    expect(page.locator("#touches .row")).to_have_count(4)
    expect(page.locator("#touches .num:visible")).to_have_count(2)
    come_back(browser, bay, page)


def test_what_is_settled_taken_back_and_reopened_shows_at_once(browser: Browser, page: Page, bay: Bay) -> None:
    open_job(page)
    for what in ("Oil mist", "Put down in the wrong job"):
        page.get_by_role("link", name="Finding").tap()
        page.get_by_label("What you saw").fill(what)
        page.get_by_role("button", name="Keep it").tap()
        expect(page.locator("[data-list=finding]")).to_contain_text(what)
    oil, wrong = page.locator("[data-list=finding] > details").all()
    oil.locator("summary").tap()
    oil.get_by_label("How it was settled").fill("New seal")
    oil.get_by_role("button", name="Settled").tap()
    expect(oil).to_contain_text("Settled today: New seal")
    wrong.locator("summary").tap()
    wrong.get_by_role("button", name="Put down by mistake").tap()
    expect(wrong).to_be_hidden()
    page.get_by_role("link", name="Close the job").tap()
    page.get_by_role("button", name="Close the job").tap()
    page.get_by_role("button", name="Reopen the job").tap()
    expect(page.get_by_role("link", name="Close the job")).to_be_visible()
    come_back(browser, bay, page)


def test_anyone_can_use_the_page_with_a_job_half_done(phone: Phone, served: str, tern: str, axe: Axe) -> None:
    page = phone.page
    page.goto(f"{served}/cars/{tern}/jobs/new")
    open_job(page)
    touch(page, COUPLER, "Off at both ends")
    assert axe(page) == []
    touch(page, HOSE, "Reached past")
    fold(page)
    page.locator("[id='e.tern.coupler.to'] > a").tap()
    assert axe(page) == []
    fold(page)
    page.get_by_text("All lines and components by name").tap()
    for form in ("Finding", "Part on / off", "Close the job"):
        page.get_by_role("link", name=form).tap()
    expect(page.get_by_text("Look again after some driving")).to_be_visible()
    assert axe(page) == []
