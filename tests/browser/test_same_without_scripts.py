"""With nothing waiting, a page says the same with its scripts as without: what they lay over it changes nothing."""

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import SCREEN
from tests.browser.pocket import lay, put_away

#: Lists of records long finished, and the pages that sum them up.
PAGES = ("touched", "jobs", "tickets", "stopgaps", "rechecks", "events", "readings", "fasteners", "build-sheet")


def said(browser: Browser, address: str, *, scripts: bool) -> dict[str, list[str]]:
    """What each page says, line by line, once whatever scripts it has are done."""
    context = browser.new_context(viewport=SCREEN, java_script_enabled=scripts, service_workers="block")
    page = context.new_page()
    found = {}
    for name in PAGES:
        for car in ("tern", "dunlin"):
            page.goto(f"{address}/cars/{car}/{name}")
            if scripts:
                lay(page)
            found[f"{car}/{name}"] = [line.strip() for line in page.inner_text("main").splitlines() if line.strip()]
    put_away(context) if scripts else context.close()
    return found


@pytest.fixture
def with_and_without(browser: Browser, demo_address: str) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    return said(browser, demo_address, scripts=True), said(browser, demo_address, scripts=False)


def test_what_is_finished_reads_the_same_with_scripts_and_without(
    with_and_without: tuple[dict[str, list[str]], dict[str, list[str]]],
) -> None:
    laid, plain = with_and_without
    assert laid == plain
    assert any("checked" in line for line in plain["dunlin/touched"])
