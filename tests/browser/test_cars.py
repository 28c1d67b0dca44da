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
