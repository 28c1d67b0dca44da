"""From the car's page to the ticket of a reading that drifts, by touch."""

from playwright.sync_api import Browser, expect

from tests.browser.conftest import Axe, in_hand
from tests.browser.hand import tap, tap_row
from tests.browser.pocket import run


def test_the_car_says_what_drifts_and_a_tap_leads_to_a_ticket_with_its_sign(
    browser: Browser, demo_address: str, axe: Axe
) -> None:
    with in_hand(browser, "light") as held:
        page = held.page
        page.goto(f"{demo_address}/cars/tern")
        run(page, "await bay('bay.js');")
        tap_row(page, "Idle vacuum, warm drifts", "lower than usual since")
        expect(page.get_by_text("It drifts:")).to_be_visible()
        expect(page.get_by_role("img", name="Idle vacuum, warm: 23 readings, the latest 17.8 inHg")).to_be_visible()
        assert axe(page) == []
        tap(page, "Report a fault")
        expect(page.get_by_label("What is not as it was")).to_have_value("Idle vacuum is a little low")
        tap(page, "Report it")
        page.wait_for_url("**/tickets/*")
        expect(page.get_by_role("heading", level=1)).to_have_text("Idle vacuum is a little low")
        sign = page.locator("[data-sign=idle_vacuum]")
        expect(sign.locator("[data-part=answer]")).to_contain_text("little low", ignore_case=True)


def test_every_chart_can_be_read_on_a_phone(browser: Browser, demo_address: str, axe: Axe) -> None:
    with in_hand(browser, "light") as held:
        for what in ("idle_vacuum", "peak_boost", "vacuum_recovery", "fuel_trim_load"):
            held.page.goto(f"{demo_address}/cars/tern/readings/{what}/drift")
            run(held.page, "await bay('bay.js');")
            assert axe(held.page) == [], what
            assert held.page.evaluate("document.documentElement.scrollWidth <= innerWidth"), what
