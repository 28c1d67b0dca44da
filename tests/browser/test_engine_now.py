"""A ticket's page asks how the engine is, and puts what to do next in the order that fits it."""

import re

import pytest
from playwright.sync_api import Page, expect

from app.triage.at_hand import EngineNow
from app.triage.signs import NEED_LABEL, Need
from tests.browser.conftest import SCREEN, Axe, Phone

TICKET = "/tickets/tern.boost-wanders"
COLD = NEED_LABEL[Need.ENGINE_COLD]


@pytest.fixture
def page(phone: Phone, served_demo: str) -> Page:
    phone.page.goto(served_demo + TICKET)
    return phone.page


def steps(page: Page, field: str) -> list[str]:
    """What all checks of the list say, in their order."""
    page.locator("#suspects > details [data-suspect]").first.wait_for(state="attached")  # the phone has ranked
    rows = page.locator("#checks [data-check]")
    found = rows.locator(f'[data-part="{field}"]').all()
    return [one.text_content() or "" for one in found]


def say(page: Page, engine: str) -> None:
    page.get_by_label("The engine is").select_option(engine)


def test_the_choices_are_the_states_the_program_knows(page: Page) -> None:
    values = page.locator("#engine option").evaluate_all("all => all.map(one => one.value)")
    assert values == ["", *EngineNow]


def test_with_nothing_said_no_check_waits_for_the_engine(page: Page) -> None:
    expect(page.locator("#left")).to_have_text(re.compile(r"about \d+ min of checking left"))
    assert not any("after" in one for one in steps(page, "notes"))


def test_a_check_in_the_cold_says_how_long_a_warm_engine_takes_to_get_there_once(page: Page) -> None:
    say(page, "warm")
    waits = [one for one in steps(page, "notes") if one]
    assert waits[0] == "after it has gone cold: 45 min"
    # The next one in the cold finds it cold already.
    about, notes = steps(page, "about"), steps(page, "notes")
    cold = [n for n, one in enumerate(about) if COLD in one]
    neighbours = [n for n in cold if n - 1 in cold]
    assert neighbours
    assert all(notes[n] == "" for n in neighbours)


def test_it_is_remembered_for_the_next_look_and_can_be_taken_back(page: Page) -> None:
    before = steps(page, "label")
    say(page, "running")
    assert any("after it has gone cold: 60 min" in one for one in steps(page, "notes"))
    page.reload()
    expect(page.get_by_label("The engine is")).to_have_value("running")
    say(page, "")
    assert steps(page, "label") == before
    page.reload()
    expect(page.get_by_label("The engine is")).to_have_value("")


def test_what_was_said_hours_ago_is_not_believed(page: Page) -> None:
    say(page, "warm")
    page.evaluate("localStorage.setItem('engine tern', `warm ${Date.now() - 3 * 3600 * 1000}`)")
    page.reload()
    expect(page.get_by_label("The engine is")).to_have_value("")
    assert not any("after" in one for one in steps(page, "notes"))


def test_with_an_engine_said_the_page_is_accessible_and_no_wider_than_the_phone(page: Page, axe: Axe) -> None:
    say(page, "warm")
    assert any(steps(page, "notes"))
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= SCREEN["width"]
