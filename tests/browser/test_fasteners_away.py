"""Wheels are added, checked and set to be checked again where nothing answers; the pages say what the garage will."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.away import Away
from tests.browser.conftest import SCREEN
from tests.browser.pocket import keep, put_away, told, waiting

CAR, WHEELS = "/cars/tern", "/fasteners/tern.wheels"
LIST, RECHECKS, WRENCHES, NEW_WRENCH = f"{CAR}/fasteners", f"{CAR}/rechecks", "/wrenches", "/wrenches/new"


@pytest.fixture
def away(browser: Browser, served_demo: str) -> Iterator[Away]:
    context = browser.new_context(
        viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    context.set_default_timeout(30_000)
    opened = Away(browser, served_demo, context)
    yield opened
    put_away(context)
    assert opened.troubles == []


def test_a_wheel_is_checked_away_asked_about_at_once_and_set_to_be_looked_at_again(away: Away) -> None:
    away.open(CAR, LIST, RECHECKS, WHEELS)
    away.leave()
    page = away.pages[WHEELS]
    page.bring_to_front()
    page.get_by_label("Torque reached").fill("130")
    page.locator("select[name=wrench]").select_option(label="The small one, 2 to 10\xa0N·m")
    page.get_by_role("button", name="Keep the check").tap()
    expect(page.get_by_text("130 N·m is outside what this fastener allows")).to_be_visible()
    expect(page.get_by_text("130 N·m is beyond what this wrench sets: 2 to 10\xa0N·m")).to_be_visible()
    assert waiting(away.pages[CAR]) == []
    page.get_by_label("Torque reached").fill("121")
    page.locator("select[name=wrench]").select_option(label="The long one, 40 to 200\xa0N·m")
    page.get_by_label("Odometer").fill("184 060")
    away.tap(WHEELS, "Keep the check")
    kept = waiting(away.pages[CAR])
    assert [one["kind"] for one in kept] == ["check", "recheck"]
    assert kept[1]["record"] == f"{kept[0]['record']}.again"
    shown = away.shows(LIST, RECHECKS)
    assert any(line.startswith("Checked today") for line in shown[LIST])
    assert "0 of 50 km used" in shown[RECHECKS]
    away.agrees(shown)


def test_a_re_check_after_an_event_stands_as_the_garage_will_say_it(away: Away) -> None:
    away.open(CAR, RECHECKS, WRENCHES)
    away.leave()
    page = away.pages[CAR]
    keep(page, told("recheck", "r9", car="tern", what="Sump", since_at="@now", after_event="yes", after_job="yes"))
    keep(page, told("wrench", "w9", name="Half inch", largest="80", unit="lbf.ft"))
    shown = away.shows(CAR, RECHECKS, WRENCHES)
    assert "after the next event" in shown[RECHECKS]
    assert "up to 80 lbf·ft" in shown[WRENCHES]
    away.agrees(shown)
