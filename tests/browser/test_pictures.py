from collections.abc import Callable

import pytest

from tests.browser.conftest import Axe, Phone

PAGES = {
    "car": "/cars/tern",
    "air-path": "/cars/tern/air-path",
    "job": "/jobs/tern.coupler-and-breather",
    "ticket": "/tickets/tern.boost-wanders",
}


@pytest.mark.parametrize("name", PAGES)
def test_the_pages_the_readme_shows_can_be_used_by_anyone(
    phone: Phone, served_demo: str, axe: Axe, picture: Callable[[str], None], name: str
) -> None:
    phone.page.goto(served_demo + PAGES[name])
    phone.page.wait_for_load_state("networkidle")
    assert axe(phone.page) == []
    picture(name)
