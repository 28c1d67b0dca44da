"""A repair that did not prove, from the first tap to the second suspect: on a phone, and away from the garage."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.away import Away
from tests.browser.conftest import SCREEN, Phone
from tests.browser.hand import tap
from tests.browser.pocket import put_away

TICKET = "/tickets/tern.boost-wanders"
HOSE = "Boost solenoid actuator hose, solenoid to actuator"
GIVEN = f"Given that {HOSE} is repaired, what else is it?"


@pytest.fixture
def away(browser: Browser, served_demo: str) -> Iterator[Away]:
    context = browser.new_context(
        viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    context.set_default_timeout(10_000)
    opened = Away(browser, served_demo, context)
    yield opened
    put_away(context)
    assert opened.troubles == []


def test_found_repaired_still_off_and_hunted_on_with_nothing_answering(away: Away) -> None:
    away.open(TICKET)
    away.leave()
    page = away.pages[TICKET]
    page.locator("#found summary").tap()
    page.get_by_label("Which it was").select_option("found_line=tern.boost_actuator")
    page.get_by_label("What was wrong with it").fill("Split at the actuator")
    page.locator("#found").get_by_role("button", name="Found it").tap()
    page.locator("#repaired > summary").tap()
    page.locator("#repaired").get_by_text("For good", exact=True).tap()
    page.get_by_role("button", name="Repaired for good").tap()
    page.locator("#reopen summary").tap()
    expect(page.get_by_text(f"{HOSE} counts as repaired")).to_be_visible()
    page.locator("#reopen textarea").fill("It still wanders")
    page.get_by_role("button", name="Go on looking").tap()
    expect(page.get_by_text(GIVEN)).to_be_visible()
    page.locator("main details:not(#hunt)").evaluate_all("all => all.forEach(one => (one.open = false))")
    shown = ranked(away.shows(TICKET)[TICKET])
    assert any(line.startswith("Before the repair: ") for line in shown)
    assert shown == ranked(away.come_back([TICKET])[TICKET])


def ranked(lines: list[str]) -> list[str]:
    """What a ticket's page says of what is repaired, asked next, suspected and seen; the rest has tests of its own."""
    hunt = lines[lines.index("Ask next") : lines.index("Correct what was noticed, or when")]
    given = [line for line in lines if line.startswith("Given that")]
    return [*given, *(line for line in hunt if line != "Keep the photo")]


def test_why_one_is_suspected_leads_from_the_ticket_and_back(phone: Phone, served_demo: str) -> None:
    page = phone.page
    page.goto(served_demo + TICKET)
    page.locator("#suspects").get_by_role("link", name=HOSE, exact=True).tap()
    drawn = page.get_by_role("img", name="The factors as bars, one after the other.")
    expect(drawn).to_be_visible()
    box = drawn.bounding_box()
    assert box is not None
    assert box["width"] <= SCREEN["width"]
    assert drawn.locator("text").first.evaluate("one => one.getBoundingClientRect().height") >= 14
    page.get_by_text("The same as a table").tap()
    expect(page.get_by_role("row", name="How often it is at fault, as a rule 2.0%")).to_be_visible()
    tap(page, "Ticket")
    page.get_by_role("heading", name="Boost wanders at full throttle").wait_for()
