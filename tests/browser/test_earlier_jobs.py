"""The jobs of years: those before the first fifty come into the list at a tap."""

from playwright.sync_api import expect

from tests.browser.conftest import Phone
from tests.conftest import Enter


def many(enter: Enter, car: str) -> None:
    for n in range(53):
        at = f"2026-05-01T10:{n:02}:00.000Z"
        enter("job", f"shut{n:02}", car=car, title=f"Job {n}", opened_at=at, closed_at=at)


def test_earlier_jobs_come_below_and_nothing_else_moves(phone: Phone, served: str, tern: str, enter: Enter) -> None:
    many(enter, tern)
    page = phone.page
    page.goto(f"{served}/cars/{tern}/jobs")
    page.wait_for_load_state()
    page.get_by_role("link", name="Earlier jobs").tap()
    expect(page.get_by_text("Job 0", exact=True)).to_be_visible()
    expect(page.get_by_text("Job 52", exact=True)).to_be_visible()
    expect(page.get_by_role("link", name="Earlier jobs")).to_have_count(0)
    assert "before" not in page.url


def test_when_they_do_not_come_their_own_page_is_asked_for(phone: Phone, served: str, tern: str, enter: Enter) -> None:
    many(enter, tern)
    page = phone.page
    page.goto(f"{served}/cars/{tern}/jobs")
    page.wait_for_load_state()
    page.route("**/jobs/earlier?*", lambda route: route.abort())
    page.get_by_role("link", name="Earlier jobs").tap()
    page.wait_for_url("**/jobs?before=*")
    expect(page.get_by_text("Job 0", exact=True)).to_be_visible()
    phone.troubles.clear()  # the console tells of the request that this test cut off
