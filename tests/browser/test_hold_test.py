"""A hold test timed on the phone: by the phone's formulas, by touch with the garage there, and with it gone."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from app.workings.hold_picture import picture
from app.workings.hold_test import HoldTest, judge
from tests.browser.bay import Bay, send, take_along
from tests.browser.conftest import SCREEN, Axe, Phone, in_hand, let_in
from tests.browser.pocket import put_away
from tests.conftest import Enter

NEW = "/cars/tern/hold-tests/new"


@pytest.fixture(scope="module")
def reckoning(browser: Browser, demo_address: str) -> Iterator[Page]:
    with in_hand(browser, "light") as held:
        held.page.goto(demo_address + NEW)
        yield held.page


@st.composite
def held(draw: st.DrawFn) -> HoldTest:
    vacuum, around = draw(st.booleans()), draw(st.floats(70, 104))
    start = draw(st.floats(1, around * 0.98 if vacuum else 300))
    gaps = draw(st.lists(st.floats(0.1, 600), min_size=1, max_size=6))
    readings = tuple((sum(gaps[: n + 1]), draw(st.floats(0, start * 1.02))) for n in range(len(gaps)))
    warm = draw(st.one_of(st.just((None, None)), st.tuples(st.floats(-10, 90), st.floats(-10, 90))))
    volume = draw(st.one_of(st.none(), st.floats(1, 20_000)))
    limit = start * draw(st.floats(0.01, 0.9))
    return HoldTest(vacuum, around, start, readings, limit, draw(st.floats(1, 900)), warm[0], warm[1], volume)


def _plain(one: HoldTest) -> dict[str, Any]:
    names = {"vacuum": one.vacuum, "around": one.around_kpa, "start": one.start_kpa, "readings": one.readings}
    limit = {"limit": one.limit_kpa, "limitS": one.limit_s}
    return names | limit | {"startC": one.start_c, "endC": one.end_c, "volume": one.volume_ml}


_JUDGE = """async (tests) => {
  const own = document.querySelector('script[src*="hold-test.js"]').src.replace("hold-test", "hold-decay");
  const { judge, picture } = await import(own);
  return tests.map((test) => [judge(test), picture(test, judge(test), 30)]);
}"""


@given(st.lists(held(), min_size=20, max_size=20))
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_phone_reckons_as_the_garage_does(reckoning: Page, some: list[HoldTest]) -> None:
    for one, (said, drawn) in zip(some, reckoning.evaluate(_JUDGE, [_plain(each) for each in some]), strict=True):
        judged = judge(one)
        ours = [judged.lost_kpa, judged.cooling_kpa, judged.leaked_kpa, judged.rate, judged.at_limit_kpa]
        theirs = [said[name] for name in ("lost", "cooling", "leaked", "rate", "atLimit")]
        assert theirs == pytest.approx(ours, rel=1e-6, abs=1e-9), one
        if abs(judged.at_limit_kpa / one.limit_kpa - 1) > 1e-6:
            assert said["passed"] == judged.passed
        assert [said["hole"], said["fast"]] == (
            [None, None]
            if one.volume_ml is None
            else pytest.approx([judged.hole_mm, judged.fast_mm], rel=1e-6, abs=1e-9)
        )
        shown = picture(one, judged, 30)
        assert [drawn["low"], drawn["high"], drawn["last"]] == pytest.approx(
            [shown.low_kpa, shown.high_kpa, shown.last_s], rel=1e-9, abs=1e-9
        )
        for theirs_, ours_ in ((drawn["limit"], shown.limit), (drawn["fit"], shown.fit)):
            assert _points(theirs_) == pytest.approx(_points(ours_), abs=0.11)
        assert [xy for dot in drawn["dots"] for xy in dot] == pytest.approx(
            [xy for d in shown.dots for xy in d], abs=0.06
        )


def _points(text: str) -> list[float]:
    return [float(one) for one in re.split(r"[ ,]", text)]


def _set_up(page: Page, start: str) -> None:
    page.get_by_text("Work it out from bore and length").tap()
    page.get_by_label("Length, all of it").fill("1200")
    page.get_by_label("At the start, by the gauge").fill(start)
    page.get_by_label("Its temperature").first.fill("20")


def _read(page: Page, value: str, button: str) -> None:
    page.get_by_role("button", name="Read the gauge now").tap()
    page.get_by_label("What it shows at").fill(value)
    page.get_by_role("button", name=button).tap()


def test_a_line_is_timed_for_a_ticket_by_touch_and_the_test_leads_back_there(
    phone: Phone, served: str, enter: Enter, tern: str, axe: Axe
) -> None:
    enter("ticket", "t1", car=tern, what="Gauge falls", noticed_at="2026-04-18T09:00:00Z")
    page = phone.page
    page.goto(f"{served}/tickets/t1/suspects/tern.gauge_hose")
    page.locator("summary", has_text="Hand vacuum pump").tap()
    page.get_by_role("link", name="Time it: a hold test").tap()
    page.wait_for_url(lambda url: "/hold-tests/new" in url)
    expect(page.locator("select[name=line]")).to_have_value("tern.gauge_hose")
    expect(page.locator("#hold-test")).to_have_attribute("data-stage", "set")
    assert axe(page) == []
    page.get_by_role("button", name="Start the clock").tap()
    expect(page.locator("#not-yet")).to_contain_text("Write what the gauge shows")
    _set_up(page, "18")
    page.get_by_role("button", name="Start the clock").tap()
    expect(page.get_by_text("The limit counts 1:00")).to_be_visible()
    expect(page.locator("#clock")).not_to_have_text("0:00")
    _read(page, "16", "Note it and go on")
    expect(page.locator("#verdict")).to_contain_text("Leaks")
    assert axe(page) == []
    page.reload()
    expect(page.locator("#read")).to_contain_text("16 inHg")
    _read(page, "12", "That ends the test")
    expect(page.get_by_role("button", name="Keep the test")).to_be_visible()
    page.get_by_label("Its temperature at the end").fill("18")
    expect(page.locator("#verdict")).to_contain_text("It hid")
    assert axe(page) == []
    page.get_by_role("button", name="Keep the test").tap()
    page.wait_for_url(lambda url: "/tickets/t1" in url)
    expect(page.locator("#made")).to_contain_text("Hand vacuum pump: Gauge hose, manifold to gauge")
    page.goto(f"{served}/cars/tern/hold-tests")
    page.locator("#tests a.row").first.tap()
    expect(page.get_by_text("Leaks", exact=True)).to_be_visible()
    assert axe(page) == []


def test_more_than_the_limit_is_not_started(browser: Browser, demo_address: str) -> None:
    with in_hand(browser, "light") as held:
        page = held.page
        page.goto(f"{demo_address}{NEW}?medium=pressure")
        page.get_by_label("Or which set of lines").fill("Charge pipes")
        page.get_by_label("At the start, by the gauge").fill("1.2")
        page.get_by_role("button", name="Start the clock").tap()
        expect(page.locator("#not-yet")).to_contain_text("above the limit of 0.7 bar")
        page.get_by_label("Not above").fill("1,4")
        page.get_by_role("button", name="Start the clock").tap()
        expect(page.locator("#clock")).to_be_visible()
        page.get_by_role("button", name="Give up the test").tap()
        page.get_by_role("button", name="Bring back the test given up").tap()
        expect(page.locator("#clock")).to_be_visible()


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    enter("ticket", "t1", car=tern, what="Gauge falls", noticed_at="2026-04-18T09:00:00Z")
    opened = Bay(garage)
    yield opened
    opened.stop()


def test_a_test_is_timed_from_the_first_tap_to_the_last_with_the_garage_gone_and_the_tab_killed(
    browser: Browser, bay: Bay
) -> None:
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    let_in(context, bay.garage, bay.address)
    page = context.new_page()
    take_along(page, bay)
    bay.stop()
    page.goto(f"{bay.address}{NEW}?ticket=t1&line=tern.gauge_hose&medium=vacuum")
    expect(page.locator("#kept")).to_contain_text("the garage does not answer")
    expect(page.locator("select[name=ticket]")).to_have_value("t1")
    expect(page.locator("select[name=line]")).to_have_value("tern.gauge_hose")
    _set_up(page, "18")
    page.get_by_label("My own limit").check(force=True)
    page.get_by_label("May lose").fill("1")
    page.get_by_label("In", exact=True).last.fill("2")
    page.get_by_role("button", name="Start the clock").tap()
    expect(page.locator("#clock")).to_be_visible()
    begun = page.locator("#what-runs").inner_text()
    page.close()
    page = context.new_page()
    page.goto(f"{bay.address}{NEW}")
    expect(page.locator("#what-runs")).to_have_text(begun)
    expect(page.get_by_text("The limit’s time is over: read the gauge")).to_be_visible()
    page.get_by_role("button", name="Read the gauge now").tap()
    expect(page.get_by_label("What it shows at")).to_be_visible()  # it is shown once it is kept
    page.reload()
    page.get_by_label("What it shows at").fill("17,9")
    page.get_by_role("button", name="That ends the test").tap()
    expect(page.locator("#verdict")).to_contain_text("Holds")
    page.get_by_role("button", name="Keep the test").tap()
    page.wait_for_url(lambda url: "/tickets/t1" in url)
    expect(page.locator("#made")).to_contain_text("Sound")
    page.goto(f"{bay.address}/cars/tern/hold-tests")
    expect(page.locator("#tests")).to_contain_text("Holds: vacuum 18 to 17.9 inHg, a hole of 0.", use_inner_text=True)
    page.goto(f"{bay.address}{NEW}")
    expect(page.locator("#hold-test")).to_have_attribute("data-stage", "set")
    bay.start()
    send(page)
    with bay.garage.read() as db:
        kept = db.exec_driver_sql("SELECT passed, limit_loss, limit_s, ticket, hole_mm > 0 FROM hold_test").all()
        checks = db.exec_driver_sql("SELECT line, good FROM joint_check").all()
        told = db.exec_driver_sql("SELECT line, method, result FROM direct_check").all()
    assert [tuple(one) for one in kept] == [(1, 1.0, 2.0, "t1", 1)]
    assert [tuple(one) for one in checks] == [("tern.gauge_hose", 1)]
    assert [tuple(one) for one in told] == [("tern.gauge_hose", "hand_vacuum_pump", "sound")]
    put_away(context)
