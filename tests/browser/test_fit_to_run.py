"""An event's page by touch: ticked off, signed and logged, with the garage at hand and without."""

from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.away import Away, said
from tests.browser.bay import Bay, take_along
from tests.browser.conftest import SCREEN, Axe, Phone, let_in
from tests.browser.hand import heading, tap, write
from tests.browser.pocket import keep, lay, put_away, send, told, waiting
from tests.conftest import Enter

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
    expect(page.locator("#changed")).to_be_hidden()
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


def test_what_is_changed_after_signing_with_nothing_answering_is_shown_at_once(
    browser: Browser, served_demo: str
) -> None:
    context = browser.new_context(viewport=SCREEN, has_touch=True, service_workers="block", reduced_motion="reduce")
    away = Away(browser, served_demo, context)
    away.open(EVENT)
    away.leave()
    page = away.pages[EVENT]
    keep(page, told("finding", "before", car="tern", what="Seen before", seen_at="@now"))
    keep(page, told("event", "tern.hill-climb", signed_at="@now", signed_by="A. Driver", signed_despite="For the test"))
    changed = page.locator("#changed")
    away.shows(EVENT)
    expect(page.locator("#signed")).to_contain_text("Signed by A. Driver")
    expect(changed).to_be_hidden()
    _tick(page, "seat", "Not good")
    keep(page, told("finding", "elsewhere", car="dunlin", what="Of another car", seen_at="@now"))
    keep(page, told("finding", "oil", car="tern", what="Oil under the box", seen_at="@now"))
    away.shows(EVENT)
    expect(changed).to_contain_text("Changed since it was signed.")
    expect(changed.locator("a.row:visible strong")).to_have_text(
        ["Oil under the box", "Seat and harness: bolts tight, buckle opens and holds"]
    )
    shown = set(changed.locator("a.row:visible").all_inner_texts())
    away.come_back([EVENT])
    page.goto(f"{served_demo}{EVENT}")
    assert set(changed.locator("a.row:visible").all_inner_texts()) == shown
    put_away(context)
    assert away.troubles == []


def test_an_event_planned_with_the_garage_gone_has_its_page_and_its_list(
    browser: Browser, garage: Garage, tern: str, enter: Enter
) -> None:
    enter("must", "tern.tyres", car=tern, what="Tyres at their pressure", before="any")
    enter("must", "tern.helmet", car=tern, what="Helmet in the boot", before="track_day")
    enter("must", "tern.spares", car=tern, what="Spare hoses in the boot", before="long_trip")
    bay = Bay(garage)
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    let_in(context, garage, bay.address)
    page = context.new_page()
    take_along(page, bay)
    page.goto(f"{bay.address}{CAR}/events/new")
    bay.stop()
    write(page, "What it is", "Evening at the airfield")
    page.get_by_text("track day", exact=True).tap()
    write(page, "Day", "2099-05-01")
    tap(page, "Plan it")
    page.get_by_role("link", name="Evening at the airfield").tap()
    heading(page, "Evening at the airfield")
    expect(page.locator("#must-tern\\.spares")).to_be_hidden()
    for must in ("tyres", "helmet"):
        _tick(page, must, "Good")
        expect(page.locator(f"#must-tern\\.{must} .row")).to_contain_text("Good, today")
    page.reload()
    expect(page.locator("#must-tern\\.tyres")).to_contain_text("Good, today")
    write(page, "Your name", "A. Driver")
    tap(page, "Sign with this name, now")
    expect(page.locator("#signed")).to_contain_text("Signed by A. Driver")
    lay(page)
    shown = said(page)
    bay.start()
    send(page)
    assert waiting(page) == []
    page.goto(page.url)
    lay(page)
    assert said(page) == shown
    put_away(context)
    bay.stop()
