"""What a log shows, in the hand: kept by a tap, on this phone first; and pulls before and after a job."""

import pytest
from playwright.sync_api import Browser, expect

from app.records.garage import Garage
from tests.browser.conftest import Axe, Phone, in_hand, let_in, running
from tests.browser.eyes import trouble_on
from tests.browser.hand import heading, tap, tap_row, write
from tests.conftest import Enter
from tests.pages.logged import keep_log
from tests.traces.engine import Car
from tests.traces.generator import CYCLE, drive

PULLS = ((3, 1900.0, 5000.0),) * 3


@pytest.fixture
def two_drives(garage: Garage, enter: Enter, tern: str) -> Garage:
    """A job, a log before it and one after it, on which boost is higher and hunts; and an open ticket."""
    enter("job", "j", car=tern, title="Boost turned up", opened_at="2026-04-10T08:00:00.000Z")
    enter("job", "j", closed_at="2026-04-10T12:00:00.000Z")
    enter("ticket", "t", car=tern, what="It surges", noticed_at="2026-04-12T08:00:00.000Z")
    for name, day, car in (("was", 8, Car()), ("is", 12, Car(boost_kpa=110.0, boost_swing_kpa=7.0))):
        trace, _ = drive(day, car, cycle=CYCLE[:30], pulls=PULLS)
        keep_log(garage, enter, name, tern, trace, f"2026-04-{day:02}T10:40:00.000Z")
    return garage


def test_a_tap_keeps_a_reading_and_notes_a_sign_and_nothing_else_does(browser: Browser, two_drives: Garage) -> None:
    with running(two_drives) as address, in_hand(browser, "light") as phone:
        page = phone.page
        let_in(page.context, two_drives, address)
        page.goto(f"{address}/logs/is")
        tap(page, "What it shows")
        heading(page, "What it shows")
        surges = page.locator("section").filter(has_text="Boost up and down")
        note = surges.get_by_role("button", name="Note on “It surges”")
        expect(note).to_have_attribute("aria-pressed", "false")
        note.tap()
        expect(note).to_have_attribute("aria-pressed", "true")
        peak = page.locator("section").filter(has_text="Peak boost")
        peak.get_by_role("button", name="Keep, it did not").tap()
        expect(peak.get_by_role("link", name="Kept as a reading")).to_be_visible()
        expect(peak.get_by_role("button", name="Keep, it did not")).to_be_hidden()
        expect(page.locator("#waiting")).to_be_hidden()
        with two_drives.read() as db:
            kept = db.exec_driver_sql("SELECT what, healthy FROM reading").all()
            noted = db.exec_driver_sql("SELECT ticket, sign, outcome FROM sign").all()
        assert [tuple(one) for one in kept] == [("peak_boost", 0)]
        assert [tuple(one) for one in noted] == [("t", "boost_stability", "erratic")]
        page.reload()
        expect(peak.get_by_role("link", name="Kept as a reading")).to_be_visible()


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
def test_what_a_job_did_is_asked_and_answered(browser: Browser, two_drives: Garage, scripts: bool) -> None:
    with running(two_drives) as address, in_hand(browser, "light", scripts=scripts) as phone:
        page = phone.page
        let_in(page.context, two_drives, address)
        page.goto(f"{address}/cars/tern/logs")
        tap_row(page, "Before and after")
        tap_row(page, "Boost turned up")
        boost = page.locator("section").filter(has_text="Boost")
        expect(boost.first).to_contain_text("kPa higher")
        write(page, "Mass as driven", "1400")
        tap(page, "Work it out")
        expect(page.locator("section").filter(has_text="Power at the wheels")).to_contain_text("kW more")
        assert "mass_kg=1400" in page.url


@pytest.mark.parametrize("path", ["/logs/is/shows", "/cars/tern/before-after?job=j&mass_kg=1400&correct=yes"])
def test_the_pages_are_open_to_everyone_by_day_and_by_night(
    browser: Browser, two_drives: Garage, axe: Axe, path: str
) -> None:
    with running(two_drives) as address, in_hand(browser, "light") as phone:
        let_in(phone.page.context, two_drives, address)
        phone.page.goto(address + path)
        assert trouble_on(phone.page, axe) == []


def test_the_demo_s_own_logs_show_something(phone: Phone, served_demo: str) -> None:
    phone.page.goto(f"{served_demo}/logs/tern.drive-2/shows")
    expect(phone.page.locator("section").first).to_contain_text("A sign of a fault: idle vacuum is a little low.")
    expect(phone.page.locator("main")).to_contain_text("Full-throttle pull")
