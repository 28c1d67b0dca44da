"""An event's page by touch: ticked off, signed and logged, with the garage at hand and without."""

from playwright.sync_api import Browser, Page, expect

from tests.browser.away import Away
from tests.browser.conftest import SCREEN, Axe, Phone
from tests.browser.hand import tap, write
from tests.browser.pocket import put_away

EVENT = "/events/tern.hill-climb"
CAR = "/cars/tern"


def _tick(page: Page, must: str, answer: str) -> None:
    page.locator(f"#must-tern\\.{must}").get_by_role("button", name=answer, exact=True).tap()


def test_it_is_ticked_off_and_signed_by_touch(phone: Phone, served_demo: str, axe: Axe) -> None:
    page = phone.page
    page.goto(served_demo + EVENT)
    assert axe(page) == []
    _tick(page, "tyres", "Good")
    expect(page.locator("#must-tern\\.tyres .row")).to_contain_text("Good, today")
    _tick(page, "seat", "Not good")
    expect(page.locator("#must-tern\\.seat .row")).to_contain_text("Not good, today")
    write(page, "Your name", "A. Driver")
    tap(page, "Sign with this name, now")
    expect(page.locator("[name=signed_despite][aria-invalid=true]")).to_be_visible()
    write(page, "Something is still open. Why sign all the same?", "To be done in the paddock")
    tap(page, "Sign with this name, now")
    expect(page.locator("#signed")).to_contain_text("Signed by A. Driver")
    expect(page.locator("#waiting")).to_be_hidden()
    page.reload()
    expect(page.locator("#signed")).to_contain_text("because: To be done in the paddock")
    expect(page.locator("#signed")).not_to_contain_text("Changed since")
    page.goto(f"{served_demo}{CAR}/musts")
    assert axe(page) == []


def test_away_from_the_garage_the_page_says_what_the_garage_will(browser: Browser, served_demo: str) -> None:
    context = browser.new_context(
        viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    away = Away(browser, served_demo, context)
    away.open(EVENT, f"{CAR}/musts", f"{CAR}/events", CAR)
    away.leave()
    page = away.pages[EVENT]
    page.bring_to_front()
    for must in ("tyres", "brake_pads", "seat"):
        _tick(page, must, "Good")
        expect(page.locator(f"#must-tern\\.{must} .row")).to_contain_text("Good, today")
    own = away.pages[f"{CAR}/musts"]
    own.bring_to_front()
    write(own, "What has to be true", "Number plates off the roof")
    away.tap(f"{CAR}/musts", "Add it")
    page.bring_to_front()
    page.get_by_text("Log distance and heat cycles").tap()
    write(page, "Odometer now", "184 090")
    tap(page, "Log it")
    expect(page.locator("#after + [data-record]")).to_contain_text("Logged: 184")
    write(page, "Your name", "A. Driver")
    write(page, "Something is still open. Why sign all the same?", "Two loose ends for the trailer")
    tap(page, "Sign with this name, now")
    expect(page.locator("#signed")).to_contain_text("because: Two loose ends for the trailer")
    shown = away.shows(EVENT, f"{CAR}/musts", f"{CAR}/events", CAR)
    assert any("Number plates off the roof" in line for line in shown[EVENT])
    away.agrees(shown)
    put_away(context)
    assert away.troubles == []
