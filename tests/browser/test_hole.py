"""How big the hole is, on the phone: the garage's own answers with nothing answering, and one tap to a ticket."""

import json
from collections.abc import Iterator
from itertools import product

import pytest
from playwright.sync_api import Browser, Page, expect

from app.pages.hole_answers import answer
from app.pages.hole_words import About, for_phone
from app.records.car_figures import Bore
from app.records.garage import Garage
from tests.browser.bay import Bay, send, take_along
from tests.browser.conftest import SCREEN, Axe, in_hand, let_in
from tests.browser.pocket import keep, put_away, run, told, waiting
from tests.conftest import Enter

BORES = (
    Bore("Gauge hose", 3.5),
    Bore("Signal hose", 4),
    Bore("Supply hose", 4),
    Bore("Servo hose", 10),
    Bore("Pipe", 60),
)
CARS = (
    About(metered=True, diesel=False, throttle_vacuum=True, turbocharged=True, air_kpa=97.7, bores=BORES),
    About(metered=False, diesel=False, throttle_vacuum=False, turbocharged=False, air_kpa=101.3),
    About(metered=True, diesel=True, throttle_vacuum=True, turbocharged=True, air_kpa=101.3, bores=BORES[:1]),
)


def _cases() -> Iterator[tuple[str, dict[str, str]]]:
    for airflow, long, trim, now in product(
        ("3.00", "0,02", "", "-1"), ("10", "-30", "0.4"), ("", "0"), ("", "35", "99")
    ):
        trims = {"airflow": airflow, "airflow_unit": "g/s", "short": "12", "long": long, "trim": trim, "wander": "2"}
        yield "trims", trims | {"now": now, "unit": "kPa", "basis": "absolute", "temp": "25" if now else ""}
    for now, rpm, idle, litres, ve in product(
        ("15", "18.9", "29", "x"), ("850", "50"), ("", "2.9"), ("", "1.998"), ("", "80")
    ):
        vacuum = {"now": now, "usual": "19.0", "unit": "inHg", "basis": "vacuum", "rpm": rpm, "rpm_usual": "800"}
        yield "vacuum", vacuum | {"idle_gs": idle, "litres": litres, "ve": ve, "give": "0.2" if ve else ""}
    for after, took, unit, start, volume in product(
        ("15", "19.9", "22", "0", "30"), ("8", "0.1"), ("h", "min", "s"), ("", "20.0"), ("2.00", "")
    ):
        hold = {"before": "20", "after": after, "unit": "inHg", "basis": "vacuum", "took": took, "took_unit": unit}
        yield "hold", hold | {"start": start, "end": "5", "volume": volume}
    for after, took, end in product(("1.0", "0.4", "-0.1"), ("5", "60", "3600"), ("20", "")):
        hold = {"before": "1.2", "after": after, "unit": "bar", "basis": "gauge", "took": took, "took_unit": "s"}
        yield "hold", hold | {"start": "50", "end": end, "volume": "10.0", "air": "98.4", "give": "0.02"}
    for reached, airflow, litres, charge in product(
        ("0.8", "1.3", "0.02"), ("", "150", "400"), ("2.0", ""), ("", "60")
    ):
        boost = {
            "reached": reached,
            "target": "1.20",
            "unit": "bar",
            "basis": "gauge",
            "rpm": "5000",
            "airflow": airflow,
        }
        yield "boost", boost | {"airflow_unit": "g/s", "litres": litres, "charge": charge, "give": "0.01"}


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    enter("ticket", "t1", car=tern, what="Whistles", noticed_at="2026-04-18T10:40:00.000Z")
    enter("car_figures", tern, car=tern, reservoir_l=2.0)
    opened = Bay(garage)
    yield opened
    opened.stop()


@pytest.fixture
def page(browser: Browser, bay: Bay) -> Iterator[Page]:
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    let_in(context, bay.garage, bay.address)
    opened = context.new_page()
    take_along(opened, bay)
    yield opened
    put_away(context)


def test_the_phone_answers_to_the_letter_what_the_garage_does(browser: Browser, demo_address: str) -> None:
    cases = list(_cases())
    script = """const { answers } = await import(document.querySelector('script[src*="/hole.js"]').src);
      return given.cases.map(([way, typed]) => answers(way, typed, given.numbers));"""
    with in_hand(browser, "light") as held:
        held.page.goto(f"{demo_address}/cars/tern/hole")
        for about in CARS:
            given = {"cases": cases, "numbers": json.loads(json.dumps(for_phone(about)))}
            answered = run(held.page, script, given)
            for (way, typed), said in zip(cases, answered, strict=True):
                found = answer(way, typed, about)
                assert said == {"says": dict(found.says), "wrong": dict(found.wrong)}, (way, typed)


def test_far_from_the_garage_a_hold_test_is_reckoned_and_put_on_a_ticket(page: Page, bay: Bay) -> None:
    bay.stop()
    page.goto(f"{bay.address}/cars/tern/hole")
    expect(page.locator("#kept")).to_contain_text("the garage does not answer")
    page.get_by_role("link", name="A hold test").tap()
    for label, figure in (("Pressure at first", "20"), ("and at the end", "15"), ("In between", "8")):
        page.locator("form[data-hole=hold]").get_by_label(label).first.fill(figure)
    page.locator("#hold-took_unit").select_option("h")
    expect(page.locator("#answer output")).to_contain_text("0.011 mm")
    page.get_by_role("button", name="Put it on the ticket: Whistles").tap()
    page.wait_for_url("**/tickets/t1")
    expect(page.locator("#sign-leak_size")).to_contain_text("A pinhole")
    bay.start()
    send(page)
    page.reload()
    expect(page.locator("#sign-leak_size")).to_contain_text("A pinhole")


def test_a_ticket_opened_far_from_the_garage_takes_the_size_until_it_is_found(page: Page, bay: Bay) -> None:
    bay.stop()
    new = "5a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0001"
    fault = told("ticket", new, car="tern", what="Hisses", noticed_at="@now")
    keep(page, fault, told("ticket", "t1", found_at="@now", found_line="tern.coupler"))
    page.goto(f"{bay.address}/cars/tern/hole?way=hold&before=20&after=15&took=8&took_unit=h&unit=inHg&volume=2")
    expect(page.locator("#answer output")).to_contain_text("0.011 mm")
    expect(page.get_by_role("button", name="Put it on the ticket")).to_have_count(1)
    page.get_by_role("button", name="Put it on the ticket: Hisses").tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Hisses")
    expect(page.locator("#sign-leak_size")).to_contain_text("A pinhole")
    bay.start()
    send(page)
    assert waiting(page) == []
    page.reload()
    expect(page.locator("#sign-leak_size")).to_contain_text("A pinhole")


def test_an_address_says_the_way_and_the_figures_far_from_the_garage_too(page: Page, bay: Bay) -> None:
    bay.stop()
    page.goto(
        f"{bay.address}/cars/tern/hole?way=boost&reached=0.80&target=1.20&unit=bar&basis=gauge&rpm=5000&litres=2.0&give=0.01"
    )
    expect(page.locator("form[data-hole=boost]")).to_be_visible()
    expect(page.locator("form[data-hole=trims]")).to_be_hidden()
    expect(page.locator("#answer output")).to_contain_text("mm (")
    page.locator("#boost-rpm").fill("")
    expect(page.locator("#answer output")).to_be_hidden()
    expect(page.get_by_role("button", name="Put it on the ticket")).to_be_hidden()


def test_its_pages_can_be_read_and_hit_with_a_thumb(browser: Browser, demo_address: str, axe: Axe) -> None:
    asked = "way=hold&volume=2&before=20&after=15&unit=inHg&basis=vacuum&took=8&took_unit=h"
    with in_hand(browser, "light") as held:
        for address in (f"/cars/tern/hole?{asked}", "/cars/tern/hole?way=trims", "/cars/tern/figures"):
            held.page.goto(demo_address + address)
            run(held.page, "await bay('bay.js');")
            assert axe(held.page) == [], address
            assert held.page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
