from playwright.sync_api import expect

from tests.browser.conftest import Axe, Phone


def test_the_way_in_opens_and_anyone_can_use_it(phone: Phone, served_demo: str, axe: Axe) -> None:
    phone.page.goto(served_demo)
    assert phone.page.get_by_role("link", name="Tern").is_visible()
    assert axe(phone.page) == []


def test_a_garage_with_nothing_in_it_says_what_to_do(phone: Phone, served: str, axe: Axe) -> None:
    phone.page.goto(served)
    phone.page.get_by_role("link", name="Add a car").tap()
    phone.page.get_by_role("heading", name="Add a car", level=1).wait_for()
    assert axe(phone.page) == []


def test_a_line_and_a_component_are_shown_on_the_drawing(phone: Phone, served_demo: str, axe: Axe) -> None:
    page = phone.page
    page.goto(f"{served_demo}/lines/tern.throttle_coupler")
    page.get_by_role("link", name="Show it on the drawing").tap()
    line = page.locator(".tap:target")
    expect(line).to_have_attribute("href", "/lines/tern.throttle_coupler")
    expect(line.locator(".tag")).to_be_in_viewport()
    lit = "one => getComputedStyle(one).stroke"
    other = page.locator(".tap:not(:target)").first
    assert line.locator(".glow").evaluate(lit) != other.locator(".glow").evaluate(lit)
    assert axe(page) == []
    page.goto(f"{served_demo}/components/tern.turbocharger")
    page.get_by_role("link", name="Show it on the drawing").tap()
    box = page.locator("g:target .box")
    expect(box).to_be_in_viewport()
    assert box.evaluate(lit) != page.locator("g:not(:target) > .box").first.evaluate(lit)
