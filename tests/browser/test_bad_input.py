"""What can't be right, typed on a phone: a message at the box, everything typed kept, nothing lost."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Phone, in_hand
from tests.browser.hand import choose, expect_wrong, heading, tap, write

Open = Callable[[str], None]


@pytest.fixture
def held(browser: Browser) -> Iterator[Phone]:
    with in_hand(browser, "light") as phone:
        yield phone


@pytest.fixture
def page(held: Phone) -> Page:
    return held.page


@pytest.fixture
def visit(page: Page, demo_address: str) -> Open:
    def visited(path: str) -> None:
        page.goto(f"{demo_address}{path}")

    return visited


def expect_kept(page: Page, **values: str) -> None:
    for name, value in values.items():
        expect(page.locator(f"[name='{name}']").first).to_have_value(value)


def test_two_hundred_psi_is_no_boost(page: Page, visit: Open) -> None:
    visit("/cars/tern/readings/new/peak_boost")
    write(page, "Figure", "200")
    choose(page, "Unit", "psi")
    write(page, "Note", "in third")
    tap(page, "Keep the reading")
    expect_wrong(page, "value", "200 psi")
    expect_kept(page, value="200", note="in third")
    expect(page.get_by_label("psi")).to_be_checked()
    write(page, "Figure", "18")
    tap(page, "Keep the reading")
    expect(page.locator(".figure")).to_contain_text("18")


def test_a_unit_that_is_none_of_its_kind_is_named(page: Page, visit: Open) -> None:
    visit("/cars/tern/readings/new/peak_boost")
    write(page, "Figure", "1.2")
    page.locator("[name=unit]:checked").evaluate("one => { one.value = 'N.m'; }")
    tap(page, "Keep the reading")
    expect_wrong(page, "unit", "N.m")
    expect_kept(page, value="1.2")


def test_a_vacuum_deeper_than_the_air_is_no_reading(page: Page, visit: Open) -> None:
    visit("/cars/tern/readings/new/idle_vacuum")
    write(page, "Figure", "35")
    tap(page, "Keep the reading")
    expect_wrong(page, "value", "35")
    expect_kept(page, value="35")


def test_an_odometer_that_runs_backwards_is_asked_about_and_then_believed(page: Page, visit: Open) -> None:
    visit("/cars/tern/drives/new")
    write(page, "Odometer now", "12")
    write(page, "Note", "new cluster")
    tap(page, "Keep")
    asked = page.get_by_role("alert").filter(has_text="Is 12 km right (a new instrument cluster)?")
    expect(asked).to_be_in_viewport()
    expect_kept(page, odometer="12", note="new cluster")
    asked.locator(".sure").tap()
    tap(page, "Keep")
    heading(page, "Tern")
    visit("/cars/tern/drives/new")
    expect(page.locator("main")).to_contain_text("new cluster")


def test_what_is_no_number_is_said_at_its_box_with_the_garage_gone(held: Phone, page: Page, visit: Open) -> None:
    visit("/cars/tern/drives/new")
    page.wait_for_load_state("networkidle")
    page.context.set_offline(True)
    write(page, "Odometer now", "far")
    write(page, "Heat cycles since the last note", "1,5")
    tap(page, "Keep")
    expect_wrong(page, "odometer", "Write a number, such as 5 or 5.5.")
    expect_wrong(page, "heat_cycles", "Write a whole number, such as 5.")
    expect_kept(page, odometer="far", heat_cycles="1,5")
    expect(page.locator("#waiting")).to_be_hidden()
    page.context.set_offline(False)
    held.troubles.clear()  # that nothing answered is what this is about


def test_a_fault_cannot_be_noticed_tomorrow(page: Page, visit: Open) -> None:
    tomorrow = (datetime.now() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")  # noqa: DTZ005  the phone's own clock
    visit("/cars/tern/tickets/new")
    write(page, "What is not as it was", "Whistles")
    page.get_by_label("First noticed").fill(tomorrow)
    write(page, "Anything else", "on the motorway")
    tap(page, "Report it")
    expect_wrong(page, "noticed_at", "still to come")
    expect_kept(page, what="Whistles", noticed_at=tomorrow, note="on the motorway")


def test_what_nobody_named_is_asked_for(page: Page, visit: Open) -> None:
    visit("/cars/tern/tickets/new")
    write(page, "Anything else", "since the rain")
    tap(page, "Report it")
    expect(page.locator("[name=what][aria-invalid=true]")).to_be_visible()
    expect_kept(page, note="since the rain")


def test_an_unknown_line_is_said_to_be_unknown(held: Phone, page: Page, visit: Open) -> None:
    visit("/lines/tern.nowhere")
    expect(page.locator("body")).to_contain_text("There is no such line")
    assert "404" in held.troubles.pop()
    visit("/cars/tern/stopgaps/new")
    write(page, "What was used", "Tape")
    write(page, "Days", "5")
    page.locator("select[name=line] option").nth(1).evaluate("one => { one.value = 'tern.nowhere'; }")
    page.locator("select[name=line]").select_option(index=1)
    tap(page, "Keep the stopgap")
    expect_wrong(page, "line", "This line is not in the record.")
    expect_kept(page, used="Tape", limit_days="5")


def test_a_line_off_the_car_for_good_cannot_be_touched(page: Page, visit: Open) -> None:
    visit("/lines/tern.gauge_hose/retire")
    write(page, "Why", "Gauge reads by wire now")
    tap(page, "Retire it")
    expect(page.locator("main")).to_contain_text("Retired today")
    visit("/cars/tern")
    page.locator("[data-list=job] a.row").first.tap()
    heading(page, "Throttle coupler and breather")
    page.locator("summary", has_text="by name").tap()
    expect(page.locator("a.row:visible", has_text="Intercooler to throttle coupler").first).to_be_visible()
    expect(page.locator("a.row", has_text="Gauge hose")).to_have_count(0)
    page.goto(f"{page.url.partition('?')[0]}/touch/tern.gauge_hose")
    expect(page.get_by_role("alert")).to_contain_text("Gauge reads by wire now")
    expect(page.get_by_role("button", name="Reached past")).to_have_count(0)


def test_a_torque_outside_its_limits_is_asked_about(page: Page, visit: Open) -> None:
    visit("/cars/tern")
    page.locator("[data-list=job] a.row").first.tap()
    heading(page, "Throttle coupler and breather")
    page.wait_for_load_state()
    page.locator("[data-list=loose_end] a.row").filter(has_text="5.0 N·m").first.tap()
    sheet = page.locator("details.sheet[open]")
    write(page, "Torque reached", "50")
    write(page, "Note", "long bar")
    tap(page, "Keep the check")
    asked = sheet.get_by_role("alert").filter(has_text="50 N·m is outside what this joint allows")
    expect(asked).to_be_in_viewport()
    expect(sheet.get_by_label("Torque reached")).to_have_value("50")
    expect(sheet.get_by_label("Note")).to_have_value("long bar")
    asked.locator(".sure").tap()
    tap(page, "Keep the check")
    expect(page.locator("[data-list=loose_end]")).to_contain_text("50 N·m")


def test_a_code_that_is_none_is_named_where_it_was_typed(page: Page, visit: Open) -> None:
    visit("/cars/tern")
    page.locator("[data-list=ticket] a.row:visible").first.tap()
    page.wait_for_load_state()
    sign = page.locator("#sign-codes")
    sign.locator("summary").tap()
    box = sign.get_by_label("Codes as the reader shows them")
    box.fill("P0171 X99")
    sign.get_by_role("button", name="Keep these codes").tap()
    expect_wrong(page, "outcome", "X99")
    expect(box).to_have_value("P0171 X99")
    expect(box).to_be_focused()
    box.fill("P0171 P0299")
    sign.get_by_role("button", name="Keep these codes").tap()
    expect(sign.locator("summary")).to_contain_text("P0171")


def test_a_car_without_a_name_or_a_layout_keeps_the_rest(page: Page, visit: Open) -> None:
    visit("/cars/new")
    write(page, "What it is", "1.4 turbo hatch")
    write(page, "Height of the garage above the sea", "high")
    tap(page, "Add the car")
    expect_wrong(page, "layout", "Choose the one most like the car")
    page.get_by_text("Turbo diesel").first.tap()
    tap(page, "Add the car")
    for name in ("name", "altitude_m"):
        expect(page.locator(f"[aria-invalid=true][name={name}]")).to_be_visible()
    expect_kept(page, about="1.4 turbo hatch", altitude_m="high")


def test_the_back_button_brings_the_form_back_as_it_was_typed(page: Page, visit: Open) -> None:
    visit("/cars/tern/tickets/new")
    write(page, "What is not as it was", "Ticks")
    page.get_by_role("link", name="Tern", exact=True).tap()
    heading(page, "Tern")
    page.go_back()
    expect_kept(page, what="Ticks")
