"""A working opened from a check while the garage is really gone: filled in, answered, and leading back."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.bay import Bay, take_along
from tests.browser.conftest import SCREEN, let_in
from tests.browser.pocket import put_away
from tests.conftest import Enter


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    figure = {"torque_value": 120, "torque_unit": "N.m", "torque_source": "The maker's manual"}
    enter("fastener", "wheels", car=tern, name="Front wheels", of="wheel", thread="M12x1.5", **figure)
    enter("wrench", "long", name="The long one", smallest=40, largest=200, unit="N.m", lever_mm=450)
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


def test_an_extension_is_worked_out_from_a_check_while_the_garage_is_gone(page: Page, bay: Bay) -> None:
    bay.stop()
    page.goto(f"{bay.address}/fasteners/wheels")
    page.locator("summary", has_text="Work it out").tap()
    page.get_by_role("link", name="With an extension").tap()
    expect(page.locator("#kept")).to_contain_text("the garage does not answer")
    expect(page.get_by_label("Torque wanted")).to_have_value("120")
    page.locator("select[name=wrench]").select_option("long")
    page.get_by_label("E, the extension").fill("75")
    expect(page.locator("output")).to_have_text("102.9 N·m")
    page.get_by_role("link", name="Back").tap()
    expect(page.get_by_role("heading", name="Front wheels", level=1)).to_be_visible()
