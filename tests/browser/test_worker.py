"""The service worker, in a real browser, with a garage that is really gone."""

import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from app.pages.release import release
from app.records.garage import Garage
from tests.browser.bay import Bay, caches, keep, kept_pages, open_car, send, take_along
from tests.browser.conftest import REPORT_VIOLATIONS, SCREEN, let_in
from tests.browser.pocket import put_away
from tests.conftest import Enter

JOB, TICKET, LINE = "/jobs/coupler", "/tickets/no-boost", "/lines/tern.gauge_hose"


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    """A garage with one small car to take along, and one that stays."""
    enter("job", "coupler", car=tern, title="Coupler off and on", opened_at="2026-04-20T10:00:00Z")
    enter("ticket", "no-boost", car=tern, what="No boost in third", noticed_at="2026-04-21T10:00:00Z")
    enter("car", "dunlin", name="Dunlin", layout="turbo-diesel")
    opened = Bay(garage)
    yield opened
    opened.stop()


@pytest.fixture
def page(browser: Browser, bay: Bay) -> Iterator[Page]:
    """A paired phone with an empty memory. A broken policy or script fails the test; a lost network is part of it."""
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    context.add_init_script(REPORT_VIOLATIONS)
    let_in(context, bay.garage, bay.address)
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("console", lambda said: troubles.append(said.text) if said.text.startswith("CSP ") else None)
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    yield opened
    put_away(context)
    assert troubles == []


@pytest.fixture
def taken(page: Page, bay: Bay) -> Page:
    """The phone with a car taken along."""
    take_along(page, bay)
    return page


def is_kept(page: Page) -> bool:
    return page.locator("#kept[data-why]").count() == 1


def fetched(page: Page) -> None:
    """Wait for whoever is fetching pages just now."""
    page.evaluate("navigator.locks.request('along', () => {})")


def test_a_car_taken_along_opens_while_the_garage_is_gone(taken: Page, bay: Bay) -> None:
    bay.stop()
    taken.reload()
    expect(taken.get_by_role("heading", name="Tern", level=1)).to_be_visible()
    expect(taken.locator("#kept")).to_contain_text("the garage does not answer")
    expect(taken.locator("#kept")).to_contain_text("As of today")
    rest = ("air-path", "touched", "build-sheet", "jobs", "jobs/new", "tickets/new", "stopgaps/new", "drives/new")
    readings = ("readings/new", "readings/new/idle_vacuum", "readings/new/peak_boost")
    for path in (JOB, TICKET, LINE, *(f"/cars/tern/{one}" for one in (*rest, *readings))):
        taken.goto(bay.address + path)
        assert is_kept(taken), path
        assert taken.title() != "Not on this phone"


def test_a_kept_page_is_as_it_will_be_from_its_first_moment(taken: Page, bay: Bay) -> None:
    keep(taken, "job", "coupler", title="Another name for it")
    bay.stop()
    taken.add_init_script("""
      window.shifts = 0;
      new PerformanceObserver(list => list.getEntries().forEach(one => { window.shifts += one.value }))
        .observe({type: "layout-shift", buffered: true});
    """)
    taken.goto(bay.address + JOB)
    expect(taken.locator("#waiting")).to_be_visible()
    assert taken.evaluate("document.documentElement.className") == ""
    assert taken.evaluate("window.shifts") == 0


def test_a_job_opened_while_the_garage_is_gone_has_a_page(taken: Page, bay: Bay) -> None:
    job = str(uuid.uuid4())
    bay.stop()
    keep(taken, "job", job, car="tern", title="Far from home", opened_at="2026-05-01T10:00:00Z")
    taken.goto(f"{bay.address}/jobs/{job}?car=tern")
    expect(taken.get_by_role("heading", level=1)).to_contain_text("Far from home")
    assert "00000000-0000-4000-8000-000000000000" not in taken.content()
    assert job in taken.content()


def test_a_ticket_reported_while_the_garage_is_gone_has_a_page(taken: Page, bay: Bay) -> None:
    ticket = str(uuid.uuid4())
    bay.stop()
    keep(taken, "ticket", ticket, car="tern", what="No boost at all", noticed_at="2026-05-01T10:00:00Z")
    taken.goto(f"{bay.address}/tickets/{ticket}")
    expect(taken.get_by_role("heading", level=1)).to_contain_text("No boost at all")
    assert "00000000-0000-4000-8000-000000000000" not in taken.content()


def test_a_job_that_still_waits_has_a_page_while_the_garage_answers(taken: Page, bay: Bay) -> None:
    job = str(uuid.uuid4())
    taken.context.route("**/entries", lambda route: route.abort())
    keep(taken, "job", job, car="tern", title="Not sent yet", opened_at="2026-05-01T10:00:00Z")
    taken.goto(f"{bay.address}/jobs/{job}")
    expect(taken.get_by_role("heading", level=1)).to_contain_text("Not sent yet")
    assert not is_kept(taken)


def test_a_job_nobody_knows_has_no_page(taken: Page, bay: Bay) -> None:
    unknown = f"{bay.address}/jobs/{uuid.uuid4()}"
    taken.goto(unknown)
    expect(taken.get_by_text("There is no such job.")).to_be_visible()
    bay.stop()
    taken.goto(unknown)
    expect(taken.get_by_role("heading", name="Not on this phone")).to_be_visible()


def test_a_page_not_taken_along_lists_what_is_on_the_phone(taken: Page, bay: Bay) -> None:
    bay.stop()
    taken.goto(f"{bay.address}/cars/dunlin")
    expect(taken.get_by_role("heading", name="Not on this phone")).to_be_visible()
    taken.locator("summary", has_text="Lines").tap()
    taken.get_by_role("link", name="Gauge hose").first.tap()
    expect(taken.get_by_role("heading", level=1)).to_contain_text("Gauge hose")
    assert is_kept(taken)


def test_what_is_never_kept_is_named_and_the_way_back_to_its_car_comes_first(taken: Page, bay: Bay) -> None:
    taken.goto(f"{bay.address}/cars/dunlin")
    taken.get_by_role("switch", name="Take along").tap()
    taken.get_by_text("On this phone as of").wait_for(timeout=60_000)
    bay.stop()
    for car in ("dunlin", "tern"):
        for path in ("logs", "before-after", "readings/idle_vacuum/drift"):
            taken.goto(f"{bay.address}/cars/{car}/{path}")
            expect(taken.get_by_text("Never kept on a phone")).to_contain_text("before and after a job")
            expect(taken.locator("#cars section").first).to_have_attribute("data-car", car)
    taken.get_by_role("link", name="The car", exact=True).first.tap()
    expect(taken.get_by_role("heading", name="Tern", level=1)).to_be_visible()


def test_the_chart_of_a_reading_that_drifts_is_taken_along_and_says_what_it_lacks(
    page: Page, bay: Bay, enter: Enter
) -> None:
    idle = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    for n, value in enumerate((19.5, 19.6, 19.4, 19.5, 19.6, 19.4, 19.5, 19.5, 19.3, 19.1, 18.9, 18.8), 10):
        enter("reading", f"idle{n}", car="tern", value=value, taken_at=f"2026-03-{n}T10:00:00Z", healthy=True, **idle)
    take_along(page, bay)
    bay.stop()
    page.get_by_role("link", name="Idle vacuum, warm drifts").tap()
    expect(page.get_by_text("It drifts:")).to_be_visible()
    assert is_kept(page)
    colour = "getComputedStyle(document.querySelector('svg.drift path.mean')).fill"
    assert page.evaluate(colour) == "none"  # its style sheet came along
    keep(page, "reading", "idle13", car="tern", what="idle_vacuum", value="18")
    expect(page.get_by_text("Not yet counted in this: 1 entry")).to_be_visible()


def test_a_phone_that_took_nothing_along_is_told_how(page: Page, bay: Bay) -> None:
    open_car(page, bay)
    bay.stop()
    page.goto(f"{bay.address}/cars/dunlin")
    expect(page.get_by_text("No car was taken along on this phone.")).to_be_visible()


def test_a_garage_that_answers_late_is_not_waited_for(taken: Page, bay: Bay) -> None:
    bay.moods.answers.clear()
    taken.goto(bay.address + LINE)
    assert is_kept(taken)
    bay.moods.answers.set()
    taken.goto(bay.address + LINE)
    assert not is_kept(taken)


def test_a_phone_the_garage_forgot_still_shows_what_it_has(taken: Page, bay: Bay) -> None:
    before = kept_pages(taken)
    bay.moods.knows_the_phone = False
    taken.goto(bay.address + LINE)
    expect(taken.locator("#kept")).to_contain_text("this phone is not paired")
    assert sorted(kept_pages(taken)) == sorted(before)
    taken.goto(f"{bay.address}/cars/dunlin")
    expect(taken.get_by_text("Pair this phone first.")).to_be_visible()


def test_a_blank_form_from_the_phone_takes_what_its_address_says(taken: Page, bay: Bay) -> None:
    bay.stop()
    taken.goto(f"{bay.address}/cars/tern/stopgaps/new?line=tern.gauge_hose")
    expect(taken.locator("[name=line]").first).to_have_value("tern.gauge_hose")


def test_the_home_screen_opens_the_car_last_used(taken: Page, bay: Bay) -> None:
    bay.stop()
    taken.goto(f"{bay.address}/start")
    taken.wait_for_url("**/cars/tern")
    expect(taken.get_by_role("heading", name="Tern", level=1)).to_be_visible()


def test_only_what_may_have_changed_is_fetched_again(taken: Page, bay: Bay) -> None:
    joint = "/joints/tern.gauge_hose.from/edit"
    taken.goto(f"{bay.address}/take-along")
    taken.evaluate("navigator.serviceWorker.ready")
    bay.moods.asked.clear()
    taken.get_by_role("button", name="Fetch what is new").tap()
    fetched(taken)
    assert LINE not in bay.moods.asked
    keep(
        taken,
        "finding",
        str(uuid.uuid4()),
        car="tern",
        what="A rubbed hose",
        weight="watch",
        seen_at="2026-05-01T10:00Z",
    )
    assert len(send(taken)) == 1
    bay.moods.asked.clear()
    taken.get_by_role("button", name="Fetch what is new").tap()
    fetched(taken)
    assert LINE in bay.moods.asked
    assert joint not in bay.moods.asked


def test_a_car_left_behind_leaves_nothing_behind(taken: Page, bay: Bay) -> None:
    assert LINE in kept_pages(taken)
    taken.get_by_role("switch", name="Take along").tap()
    expect(taken.get_by_text("Not on this phone")).to_be_visible()
    fetched(taken)
    assert kept_pages(taken) == []


def test_nothing_that_was_sent_or_set_is_ever_kept(taken: Page, bay: Bay) -> None:
    taken.goto(f"{bay.address}/settings")
    keep(taken, "drive", str(uuid.uuid4()), car="tern", odometer="184100", at="2026-05-01T10:00:00Z")
    send(taken)
    script = """async () => {
      const all = [];
      for (const name of await caches.keys()) all.push(...await (await caches.open(name)).keys());
      return all.map(one => new URL(one.url).pathname);
    }"""
    kept = set(taken.evaluate(script))
    assert kept
    assert not kept & {"/settings", "/entries", "/sw.js"}


def test_a_new_release_is_offered_and_comes_with_a_tap(taken: Page, bay: Bay, tmp_path: Path) -> None:
    pages = kept_pages(taken)
    with bay.another_release(tmp_path / "another"):
        taken.evaluate("navigator.serviceWorker.getRegistration().then(one => one.update())")
        expect(taken.get_by_text("A new version is ready.")).to_be_visible()
        assert f"shell-{release()}" in caches(taken)
        with taken.expect_navigation():
            taken.get_by_role("button", name="Use it").tap()
        expect(taken.get_by_text("A new version is ready.")).to_be_hidden()
        shells = [name for name in caches(taken) if name.startswith("shell-")]
        assert len(shells) == 1
        assert shells != [f"shell-{release()}"]
        assert set(pages) <= set(kept_pages(taken))
    bay.stop()
    taken.goto(bay.address + LINE)
    assert is_kept(taken)
    assert taken.evaluate("getComputedStyle(document.querySelector('.plate')).borderRadius") == "10px"


def test_a_new_release_waits_for_whoever_says_later(taken: Page, bay: Bay, tmp_path: Path) -> None:
    with bay.another_release(tmp_path / "another"):
        taken.evaluate("navigator.serviceWorker.getRegistration().then(one => one.update())")
        taken.get_by_role("button", name="Later").tap()
        taken.reload()
        taken.evaluate("navigator.serviceWorker.ready")
        expect(taken.get_by_text("A new version is ready.")).to_be_hidden()
        assert f"shell-{release()}" in caches(taken)


def test_a_page_of_the_release_before_still_hands_in_its_entries(taken: Page, bay: Bay, tmp_path: Path) -> None:
    drive = str(uuid.uuid4())
    with bay.another_release(tmp_path / "another"):
        taken.evaluate("navigator.serviceWorker.getRegistration().then(one => one.update())")
        expect(taken.get_by_text("A new version is ready.")).to_be_visible()
        keep(taken, "drive", drive, car="tern", odometer="184100", at="2026-05-01T10:00:00Z")
        assert send(taken) == [drive]
    with bay.garage.read() as db:
        assert db.exec_driver_sql("SELECT odometer FROM drive WHERE id = ?", (drive,)).scalar_one() == 184100
