"""The workings on the phone: the same answers as the garage's, with nothing answering."""

import json
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from app.pages.working_answers import ANSWERS, numbers
from app.records.wrenches import WrenchRow
from tests.browser.conftest import Axe, in_hand
from tests.browser.pocket import run


def _wrench(name: str, smallest: float | None, largest: float, unit: str, lever: float | None) -> WrenchRow:
    return WrenchRow(name, name, smallest, largest, unit, lever, None, None, None, None, 0)


WRENCHES = [_wrench("long", 40, 200, "N.m", 450), _wrench("pounds", None, 80, "lbf.ft", None)]
TORQUES = ["", "0", "-3", "tight", "0.07", "5,5", "14.25", "120", "1 250", "99999999", "1e3"]
UNITS = ["", "N.m", "lbf.ft", "lbf.in", "kgf.m", "none"]


def _cases() -> Iterator[tuple[str, dict[str, str]]]:
    for torque in TORQUES:
        for unit in UNITS:
            yield "torque-units", {"torque": torque, "unit": unit}
            for thread in ("M8", "m12 x 1,5", "M7", "M3x2", "UNF", "", "M18x2.5"):
                yield "bolt", {"torque": torque, "unit": unit, "thread": thread, "strength": "10.9"}
        for lever, longer, angle in (
            ("450", "75", ""),
            ("12", "6", "45"),
            ("", "0", "180"),
            ("9", "9", "180"),
            ("9", "1", "200"),
        ):
            for wrench in ("", "long", "pounds", "none"):
                boxes = {"torque": torque, "unit": "lbf.ft", "lever": lever, "extension": longer, "angle": angle}
                yield "extension", boxes | {"wrench": wrench}
        yield "bolt", {"torque": torque, "thread": "M10x1.25", "strength": "8.8"}
        yield "bolt", {"torque": torque, "thread": "M18x2", "strength": "8.8"}
        yield "bolt", {"torque": torque, "thread": "M10", "strength": "4.6"}
        yield "bolt", {"torque": torque, "thread": "M10", "strength": "3.6"}
    for band in ("", "7", "7.5", "8", "9", "9.1", "12.7", "13", "14", "16", "17", "18", "-1", "wide"):
        yield from (("hose-clamp", {"band": band, "hose": hose}) for hose in ("new", "reused", ""))
    for pressure in ("", "1013", "102", "29.92", "840", "84,0", "1e9", "-1", "high"):
        for unit in ("mbar", "kPa", "inHg", "", "none"):
            for height in ("", "0", "240", "1609.344", "3000", "7000", "up"):
                yield "air", {"pressure": pressure, "unit": unit, "height": height}


@pytest.fixture
def page(browser: Browser, demo_address: str) -> Iterator[Page]:
    with in_hand(browser, "light") as held:
        held.page.goto(f"{demo_address}/workings/extension?torque=120&unit=N.m&back=/fasteners/tern.wheels")
        yield held.page


def test_the_phone_answers_to_the_letter_what_the_garage_does(page: Page) -> None:
    cases = list(_cases())
    given = {"cases": cases, "numbers": json.loads(json.dumps(numbers(WRENCHES)))}
    script = """const { answers } = await import(document.querySelector('script[src*="/workings.js"]').src);
      return given.cases.map(([name, typed]) => answers(name, typed, given.numbers));"""
    told = run(page, script, given)
    for (name, typed), said in zip(cases, told, strict=True):
        answer = ANSWERS[name](typed, WRENCHES)
        assert said == {"says": dict(answer.says), "wrong": dict(answer.wrong)}, (name, typed)


def test_it_answers_as_it_is_typed_with_nothing_answering_and_leads_back(page: Page) -> None:
    expect(page.get_by_role("link", name="Back")).to_have_attribute("href", "/fasteners/tern.wheels")
    expect(page.get_by_label("Torque wanted")).to_have_value("120")
    page.context.set_offline(True)
    page.get_by_label("Wrench", exact=True).select_option("long-wrench")
    page.get_by_label("E, the extension").fill("75")
    expect(page.locator("output")).to_have_text("102.9 N·m")
    page.get_by_label("E, the extension").fill("long")
    expect(page.get_by_text("Write a number, such as 5 or 5.5.")).to_be_visible()
    page.get_by_label("E, the extension").fill("0")
    page.get_by_role("button", name="Work it out").tap()
    expect(page.locator("output")).to_have_text("120.0 N·m")
    page.context.set_offline(False)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("bolt?thread=M8&strength=8.8&torque=90", "Past the proof load"),
        ("extension?torque=300&unit=N.m&lever=450&extension=10&wrench=long-wrench", "Use another wrench"),
    ],
)
def test_what_would_break_something_is_said_where_it_is_seen(
    page: Page, demo_address: str, asked: str, said: str
) -> None:
    warning = page.locator("#answer .caution").filter(has_text=said)
    page.goto(f"{demo_address}/workings/{asked}")
    expect(warning).to_be_visible()
    page.locator("input[name=torque]").fill("20" if "bolt" in asked else "120")
    expect(warning).to_be_hidden()


def test_every_new_page_can_be_read_and_hit_with_a_thumb(browser: Browser, demo_address: str, axe: Axe) -> None:
    addresses = ["/workings", "/workings/extension?torque=120&lever=450&extension=75", "/wrenches", "/wrenches/new"]
    addresses += ["/workings/bolt?thread=M10&strength=8.8&torque=60", "/workings/torque-units?torque=120"]
    addresses += [
        "/workings/hose-clamp?band=13&hose=new",
        "/workings/air?pressure=1020&height=1609",
        "/cars/tern/fasteners",
        "/cars/tern/fasteners/new",
    ]
    addresses += [
        "/fasteners/tern.wheels",
        "/stopgaps/tern.breather-tee-stopgap/substitutes",
        "/cars/tern/rechecks/new",
    ]
    addresses += ["/workings/air?pressure=1020&height=1609", "/workings/air?pressure=840&height=1609"]
    with in_hand(browser, "dark") as held:
        for address in addresses:
            held.page.goto(demo_address + address)
            run(held.page, "await bay('bay.js');")
            assert axe(held.page) == [], address
            assert held.page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
