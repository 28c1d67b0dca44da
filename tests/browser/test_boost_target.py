"""A target entered by touch, and a boost over it said at once: as it is typed, in the record, and away."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.away import Away
from tests.browser.conftest import SCREEN, Axe, Phone
from tests.browser.hand import choose, expect_wrong, heading, tap, tap_row, write
from tests.browser.pocket import put_away

CAR = "/cars/tern"
TARGET, BOOST, LIST = f"{CAR}/boost-target", f"{CAR}/readings/new/peak_boost", f"{CAR}/readings"
CAUTION = "Boost over target: stay off full throttle"
OVER = "0.35 bar over the target at 2\N{NO-BREAK SPACE}500 rpm, 0.60."


def state(page: Page) -> None:
    """Type a target of two points, over whatever stands in the boxes."""
    for box in page.locator("[data-points] input").all():
        box.fill("")
    for n, (speed, boost) in enumerate((("2500", "0,6"), ("4000", "1.1")), 1):
        write(page, f"Engine speed, point {n}", speed)
        write(page, f"Boost, point {n}", boost)
    write(page, "Give or take", "0,1")


def read(page: Page, figure: str, speed: str) -> None:
    write(page, "Figure", figure)
    write(page, "Engine speed", speed)


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


def test_a_target_is_entered_and_a_boost_over_it_is_flagged_as_it_is_typed(
    phone: Phone, served_demo: str, axe: Axe
) -> None:
    page = phone.page
    page.goto(served_demo + CAR)
    tap_row(page, "Boost target")
    heading(page, "Boost target")
    state(page)
    write(page, "Boost, point 2", "")
    tap(page, "This is the target")
    expect_wrong(page, "boost_2", "This is needed.")
    write(page, "Boost, point 2", "1.1")
    tap(page, "This is the target")
    expect(page.get_by_role("img", name="Target: 0.60 bar at 2")).to_be_visible()
    expect(page.get_by_role("row", name="1.10 1.20")).to_be_visible()
    assert axe(page) == []
    page.goto(served_demo + BOOST)
    said = page.locator("[data-over-target]")
    read(page, "0,65", "2500")
    expect(said).to_be_hidden()
    write(page, "Figure", "0.95")
    expect(said).to_contain_text(OVER)
    expect(said).to_contain_text(CAUTION)
    choose(page, "Unit", "psi")
    expect(said).to_be_hidden()
    choose(page, "Unit", "bar")
    write(page, "Engine speed", "")
    expect(said).to_be_hidden()  # beside the highest target it is not over
    write(page, "Engine speed", "2500")
    choose(page, "Was the car running right?", "No")
    tap(page, "Keep the reading")
    page.wait_for_url("**/readings/*-*")
    expect(page.get_by_role("alert").filter(has_text=OVER)).to_be_visible()
    assert axe(page) == []
    page.goto(served_demo + CAR)
    tap_row(page, CAUTION)
    expect(page.locator("a.row", has_text=OVER.removesuffix("."))).to_be_in_viewport()


def test_away_from_the_garage_a_target_counts_at_once_and_the_garage_says_the_same(away: Away) -> None:
    away.open(CAR, LIST, TARGET, BOOST)
    away.leave()
    page = away.pages[BOOST]
    page.bring_to_front()
    read(page, "0.95", "2500")
    expect(page.locator("[data-over-target]")).to_be_hidden()
    aim = away.pages[TARGET]
    aim.bring_to_front()
    state(aim)
    away.tap(TARGET, "This is the target")
    page.bring_to_front()
    expect(page.locator("[data-over-target]")).to_contain_text(OVER)
    page.get_by_text("No", exact=True).tap()
    away.tap(BOOST, "Keep the reading")
    shown = away.shows(CAR, LIST)
    for lines in shown.values():
        assert any(CAUTION in line for line in lines)
        assert any(" ".join(OVER.removesuffix(".").split()) in line for line in lines)
    away.agrees({LIST: shown[LIST]})  # what the car's logs are beside a new target, only the garage can say


def test_what_the_phone_says_of_a_target_stands_in_its_boxes(away: Away) -> None:
    away.open(CAR, TARGET)
    away.leave()
    page = away.pages[TARGET]
    page.bring_to_front()
    state(page)
    page.get_by_role("button", name="This is the target").evaluate("one => delete one.form.dataset.then")
    away.tap(TARGET, "This is the target")
    away.shows(TARGET)
    boxes = page.evaluate("[...document.querySelectorAll('[data-points] input')].slice(0, 6).map(one => one.value)")
    assert boxes == ["2500", "0.6", "4000", "1.1", "", ""]


def test_without_scripts_the_garage_flags_it(browser: Browser, served_demo: str) -> None:
    context = browser.new_context(viewport=SCREEN, java_script_enabled=False)
    page = context.new_page()
    page.goto(served_demo + TARGET)
    for name, value in {"speed_1": "2500", "boost_1": "0,6", "tolerance": "0.1"}.items():
        page.locator(f"[name={name}]").fill(value)
    page.get_by_role("button", name="This is the target").click()
    page.goto(served_demo + BOOST)
    page.locator("[name=value]").fill("0.95")
    page.locator("[name=engine_speed]").fill("2500")
    page.get_by_role("button", name="Keep the reading").click()
    expect(page.get_by_role("alert")).to_contain_text(OVER)
    context.close()
