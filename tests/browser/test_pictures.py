"""What the README shows, come to by touch; kept as pictures when the variable WITNESSMARK_PICTURES says so."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import DAY_AND_NIGHT, Phone
from tests.browser.hand import heading, tap_number, tap_row


def car(page: Page) -> None:
    heading(page, "Tern")


def air_path(page: Page) -> None:
    tap_row(page, "Air path")
    heading(page, "Air path")


def line_list(page: Page) -> None:
    air_path(page)
    page.get_by_role("heading", name="Charge pipe").evaluate("one => one.scrollIntoView()")


def job(page: Page) -> None:
    tap_row(page, "Throttle coupler and breather")
    heading(page, "Throttle coupler and breather")


def touch(page: Page) -> None:
    job(page)
    page.wait_for_load_state()
    tap_number(page, "10")
    page.locator("details.sheet[open] h2").wait_for()


def ticket(page: Page) -> None:
    tap_row(page, "Boost wanders at full throttle", "Noticed")
    heading(page, "Boost wanders at full throttle")


@DAY_AND_NIGHT
@pytest.mark.parametrize("way", [car, air_path, line_list, job, touch, ticket], ids=lambda way: way.__name__)
def test_what_the_readme_shows_is_a_tap_or_two_away(
    phone: Phone, served_demo: str, picture: Callable[[str], None], way: Callable[[Page], None]
) -> None:
    phone.page.goto(f"{served_demo}/cars/tern")
    way(phone.page)
    phone.page.wait_for_load_state("networkidle")
    picture(way.__name__.replace("_", "-"))
