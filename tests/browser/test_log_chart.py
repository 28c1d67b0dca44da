"""The chart of a log and two logs over each other, by touch: drawn, moved, read, and the same in figures."""

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.conftest import DAY_AND_NIGHT, SCREEN, Axe, Phone
from tests.browser.hand import choose, heading, tap
from tests.conftest import Enter
from tests.logs import drive, take_in

#: How much ink a canvas holds: the share of its points that are not empty.
_INK = """canvas => {
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  let full = 0;
  for (let n = 3; n < data.length; n += 4) full += data[n] > 0;
  return full / (data.length / 4);
}"""


@pytest.fixture(autouse=True)
def logged(garage: Garage, enter: Enter, tern: str) -> None:
    enter("boost_target", "tern.boost", car=tern, curve="[[3000, 1.0]]", tolerance=0.08, unit="bar", basis="gauge")
    take_in(garage, "sunday", tern, drive(195, 228, rate=50))
    take_in(garage, "monday", tern, drive(185, rate=50), "2026-04-19T10:00:00.000Z")


def shown(page: Page) -> str:
    return page.locator("#chart h2 small").inner_text()


def reads(page: Page, channel: str) -> str:
    return page.locator(".panel", has_text=channel).locator("output").inner_text()


@DAY_AND_NIGHT
def test_a_chart_is_drawn_moved_by_taps_and_read_in_figures(phone: Phone, served: str, axe: Axe) -> None:
    page = phone.page
    page.goto(f"{served}/logs/sunday")
    heading(page, "sunday.csv")
    expect(page.locator(".panel canvas")).to_have_count(3)
    for canvas in page.locator(".panel canvas").all():
        assert 0.01 < canvas.evaluate(_INK) < 0.5
    assert shown(page) == "0:00.0 to 0:40.0"
    assert axe(page) == []
    tap(page, "Closer")
    expect(page.locator("#chart h2 small")).to_have_text("0:10.0 to 0:30.0")
    tap(page, "Later")
    expect(page.locator("#chart h2 small")).to_have_text("0:20.0 to 0:40.0")
    pressure = page.get_by_role("row", name="Manifold pressure")
    expect(pressure).to_have_text(re.compile(r"60\s*\d+(\.\d)?\s*228$"))
    page.locator("#chart input[type=range]").fill("450")  # nine seconds in: the pull holds its pressure
    expect(page.locator("#chart [data-part=at]")).to_have_text("0:29.0")
    assert reads(page, "Manifold pressure") == "228"
    assert reads(page, "Throttle") == "100"
    tap(page, "Earlier")
    expect(page.locator("#chart h2 small")).to_have_text("0:10.0 to 0:30.0")
    page.reload()
    expect(page.locator(".panel canvas")).to_have_count(3)
    assert shown(page) == "0:10.0 to 0:30.0"
    tap(page, "The whole log")
    expect(page.locator("#chart h2 small")).to_have_text("0:00.0 to 0:40.0")


def test_a_finger_reads_the_chart_and_two_pull_it_apart(phone: Phone, served: str) -> None:
    page = phone.page
    page.goto(f"{served}/logs/sunday")
    expect(page.locator(".panel canvas")).to_have_count(3)
    plot = page.locator(".panel .u-over").nth(1)
    plot.scroll_into_view_if_needed()
    box = plot.bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + box["width"] * 0.75, box["y"] + box["height"] / 2)
    expect(page.locator("#chart [data-part=at]")).to_have_text(re.compile("0:(29.9|30.0|30.1)"))
    assert reads(page, "Manifold pressure") == "228"
    touch = page.context.new_cdp_session(page)
    middle, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def fingers(kind: str, *apart: float) -> None:
        points = [{"x": middle + side * one, "y": y, "id": n} for one in apart for n, side in enumerate((-1, 1))]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    fingers("touchStart", 40)
    for apart in (50, 60, 70, 80):
        fingers("touchMove", apart)
    fingers("touchEnd")
    expect(page.locator("#chart h2 small")).to_have_text("0:10.0 to 0:30.0")


def test_channels_are_chosen_and_a_stretch_over_target_is_shown_near(phone: Phone, served: str) -> None:
    page = phone.page
    page.goto(f"{served}/logs/sunday")
    page.locator("summary", has_text="Which channels").tap()
    for name in ("Engine speed", "Throttle"):
        page.locator("label.tick", has_text=name).tap()
    tap(page, "Show these")
    expect(page.locator(".panel canvas")).to_have_count(1)
    page.locator("#over-target a.row").tap()
    expect(page.locator("#chart h2 small")).to_have_text(re.compile("0:2[456].* to 0:3[67].*"))


def test_what_went_over_target_leaves_the_car_once_it_was_looked_at(phone: Phone, served: str) -> None:
    page = phone.page
    page.goto(f"{served}/cars/tern")
    page.locator("a.caution", has_text="sunday.csv").tap()
    expect(page.get_by_role("alert").filter(has_text="1 stretch over target")).to_be_visible()
    page.get_by_label(re.compile("What you make of it")).fill("Pipe off the wastegate")
    tap(page, "I have looked at it")
    expect(page.get_by_text("Looked at: it no longer stands on the car")).to_be_visible()
    page.goto(f"{served}/cars/tern")
    heading(page, "Tern")
    expect(page.locator("a.caution:visible")).to_have_count(0)


@DAY_AND_NIGHT
def test_two_logs_are_laid_over_each_other_by_touch(phone: Phone, served: str, axe: Axe) -> None:
    page = phone.page
    page.goto(f"{served}/logs/sunday")
    tap(page, "Lay another log over it")
    heading(page, "Two logs over each other")
    tap(page, "Lay it over")
    canvas = page.locator(".plots canvas")
    assert 0.01 < canvas.evaluate(_INK) < 0.5
    choose(page, "Against engine speed, count", "Throttle wide open")
    tap(page, "Lay it over")
    expect(page.get_by_role("row", name="6000")).to_have_text(re.compile("211.5\\s*185\\s*\N{MINUS SIGN}26.5"))
    assert axe(page) == []
    choose(page, "Against", "Time")
    page.get_by_label("sunday.csv from").fill("20")
    tap(page, "Lay it over")
    expect(page.get_by_text("kPa absolute, against time")).to_be_visible()
    assert 0.01 < canvas.evaluate(_INK) < 0.5


def test_without_scripts_the_figures_follow_the_ways_to_move(
    browser: Browser, garage: Garage, served: str, phone: Phone
) -> None:
    cookies = phone.page.context.cookies()
    context = browser.new_context(viewport=SCREEN, java_script_enabled=False)
    context.add_cookies([{"name": one["name"], "value": one["value"], "url": served} for one in cookies])
    page = context.new_page()
    page.goto(f"{served}/logs/sunday")
    for way in ("Closer", "Earlier"):
        page.get_by_role("link", name=way).click()
    assert shown(page) == "0:00.0 to 0:20.0"
    expect(page.get_by_role("row", name="Manifold pressure")).to_contain_text("195")
    context.close()
