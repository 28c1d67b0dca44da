"""Hoses and candidates in the hand: by touch, online and offline, and on paper."""

import re

import pytest
from playwright.sync_api import Browser, expect

from app.records.garage import Garage
from tests.browser.bay import Bay, take_along
from tests.browser.conftest import SCREEN, Axe, Phone, in_hand, let_in, running
from tests.browser.eyes import trouble_on
from tests.browser.hand import heading, tap, tap_number, tap_row, write
from tests.browser.pocket import AWAY, keep, lay, put_away, rest, told, weather_before
from tests.conftest import Enter

HOSES, COMPARE = "/cars/tern/hoses", "/cars/tern/compare?at=tern.compressor_inlet"
LIST = f"{HOSES}/list?line=tern.gauge_hose&line=tern.throttle_coupler"


def test_from_the_hoses_a_list_is_made_of_what_is_ticked(phone: Phone, served_demo: str) -> None:
    page = phone.page
    page.goto(served_demo + HOSES)
    heading(page, "Hoses")
    row = page.locator(".hose").filter(has_text="Intercooler to throttle coupler")
    row.locator("label").tap()
    tap(page, "Shopping list")
    heading(page, "Shopping list")
    shown = page.locator("main")
    expect(shown).to_contain_text("60 mm bore, silicone")
    expect(shown).to_contain_text("5 mm bore, hard plastic")  # ticked already, being for now
    write(page, "How much more to buy", "50")
    tap(page, "Reckon again")
    expect(page.locator("main")).to_contain_text("with 50 % to cut off")
    expect(page.locator("main")).to_contain_text("150 mm")


def test_a_line_is_a_tap_on_the_drawing_away(phone: Phone, served_demo: str) -> None:
    phone.page.goto(served_demo + HOSES)
    tap_number(phone.page, "18")
    heading(phone.page, "Boost solenoid actuator hose")


def test_the_table_is_saved_as_a_file(phone: Phone, served_demo: str) -> None:
    phone.page.goto(served_demo + HOSES)
    with phone.page.expect_download() as saved:
        tap(phone.page, "All lines as a table (CSV)")
    assert saved.value.suggested_filename == "hoses.csv"


def test_candidates_are_reckoned_anew_with_what_is_typed(phone: Phone, served_demo: str) -> None:
    page = phone.page
    page.goto(served_demo + COMPARE)
    expect(page.locator("main")).to_contain_text("For now only: Alloy inlet pipe, 76 mm replaces it in stage 4")
    page.locator("summary").filter(has_text="g/s of air").tap()
    write(page, "Power aimed for", "300")
    tap(page, "Reckon with these")
    expect(page.locator("summary").filter(has_text="323 g/s of air for 300 kW")).to_be_visible()
    widths = page.evaluate("[document.documentElement.scrollWidth, document.querySelector('.beside').scrollWidth]")
    assert widths[0] <= 412


NOT_COUNTED = {"/cars/tern/hoses": "3 entries", "/cars/tern/hoses/list": "1 entry", "/cars/tern/compare": "1 entry"}


@pytest.mark.usefixtures("tern")
def test_what_waits_on_this_phone_is_said_not_to_be_counted_yet(browser: Browser, garage: Garage, enter: Enter) -> None:
    enter("car", "other", name="Other", layout="direct-signal")
    enter("job", "j1", car="tern", title="Boost leak", opened_at="2026-04-18T10:40")
    enter("job", "j2", car="other", title="Oil", opened_at="2026-04-18T10:40")
    with running(garage) as served, weather_before(served) as (proxy, address):
        context = browser.new_context(viewport=SCREEN, service_workers="block")
        let_in(context, garage, address)
        page = rest(context, address)
        proxy.weather = AWAY
        lean = {"how": "reached_past", "at": "@now"}
        keep(
            page,
            told("touch", "j1.tern.inlet", job="j1", line="tern.inlet", **lean),
            told("touch", "j2.x", job="j2", line="other.x", **lean),
            told("finding", "f1", car="tern", line="tern.inlet", what="Brittle", weight="act", seen_at="@now"),
            told("part", "p1", car="tern", line="tern.inlet", kind="hose", name="New hose"),
        )
        for path, how_many in NOT_COUNTED.items():
            page.goto(address + path)
            lay(page)
            note = page.locator("[data-not-counted]:visible")
            expect(note).to_contain_text(f"Not yet counted in this: {how_many} of this phone.")
        put_away(context)


def test_a_car_taken_along_brings_its_hoses_and_its_candidates(
    browser: Browser, garage: Garage, enter: Enter, tern: str
) -> None:
    for key in ("a", "b"):
        enter("part", key, car=tern, line="tern.coupler", kind="hose", name=f"Coupler {key}", bore_mm=63.0)
        enter("part", f"d{key}", car=tern, position="front left damper", name=f"Damper {key}")
    bay = Bay(garage)
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    let_in(context, garage, bay.address)
    page = context.new_page()
    take_along(page, bay)
    bay.stop()
    for name in ("Throttle coupler", "front left damper"):
        page.goto(f"{bay.address}/cars/tern/compare")
        tap_row(page, name)
        heading(page, name)
        expect(page.locator("#kept[data-why]")).to_be_visible()
    for path in ("hoses", "hoses/list"):
        page.goto(f"{bay.address}/cars/tern/{path}")
        expect(page.locator("#kept[data-why]")).to_be_visible()
        assert page.title() != "Not on this phone"
    put_away(context)


@pytest.mark.parametrize("path", [HOSES, LIST, "/cars/tern/compare", COMPARE])
def test_the_pages_are_open_to_everyone(browser: Browser, demo_address: str, axe: Axe, path: str) -> None:
    with in_hand(browser, "light") as phone:
        phone.page.goto(demo_address + path)
        assert trouble_on(phone.page, axe) == []


@pytest.mark.parametrize(("path", "sheets"), [(HOSES, 4), (LIST, 1)])
def test_on_paper_there_are_no_buttons_and_nothing_is_folded(
    browser: Browser, demo_address: str, path: str, sheets: int
) -> None:
    with in_hand(browser, "light") as phone:
        phone.page.goto(demo_address + path)
        phone.page.emulate_media(media="print")
        expect(phone.page.locator(".thumb")).to_be_hidden()
        last = phone.page.locator(".hose strong, .buy strong").last
        assert last.evaluate("one => one.getBoundingClientRect().height") > 0
        assert len(re.findall(rb"/Type /Page\b", phone.page.pdf(prefer_css_page_size=True))) <= sheets
