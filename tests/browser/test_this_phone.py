"""The settings say plainly whether this phone may drop what it keeps."""

from playwright.sync_api import Browser, expect

from tests.browser.conftest import SCREEN, Axe, Phone
from tests.browser.pocket import keep, put_away, told


def test_a_phone_that_promised_nothing_says_so_and_what_to_do(phone: Phone, served_demo: str, axe: Axe) -> None:
    page = phone.page
    page.goto(f"{served_demo}/settings")
    expect(page.get_by_text("This phone may drop what it keeps.")).to_be_visible()
    page.get_by_role("button", name="Ask it to hold on to it").tap()
    expect(page.get_by_role("status").filter(has_text="home screen")).to_be_visible()
    expect(page.locator("#used")).to_contain_text("MB")
    assert axe(page) == []


def test_a_phone_that_promised_says_that_it_stays(browser: Browser, served_demo: str) -> None:
    context = browser.new_context(viewport=SCREEN, service_workers="block")
    page = context.new_page()
    # The browser decides about its promise by rules of its own; here it has given it.
    page.add_init_script("StorageManager.prototype.persisted = async () => true")
    page.goto(f"{served_demo}/settings")
    expect(page.get_by_text("What is kept here stays.")).to_be_visible()
    expect(page.get_by_role("button", name="Ask it to hold on to it")).to_be_hidden()
    put_away(context)


def test_what_waits_is_counted(browser: Browser, served_demo: str) -> None:
    context = browser.new_context(viewport=SCREEN, service_workers="block")
    page = context.new_page()
    page.goto(f"{served_demo}/settings")
    context.set_offline(True)
    keep(page, told("finding", "f1", car="tern", what="Oil mist", seen_at="@now"))
    expect(page.locator("#how-many")).to_have_text("1")
    put_away(context)
