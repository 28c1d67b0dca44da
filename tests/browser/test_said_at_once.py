"""What is wrong, unlikely or no longer there is said at the tap, with a garage and without, as its own forms say it."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Browser, Page, expect

from app.pages.doubts import air_reported
from app.records.garage import Garage
from tests.browser.away import Away
from tests.browser.conftest import SCREEN, let_in, running
from tests.browser.pocket import RESTING_PLACE, keep, lay, put_away, send, told, waiting
from tests.conftest import Enter

CAR, LINE = "tern", "tern.gauge_hose"
TICKET, JOB = "/tickets/t1", "/jobs/j1"


def ago(days: float) -> str:
    """A moment that many days back, to the minute, as a box of a form writes it."""
    return (datetime.now().astimezone() - timedelta(days=days)).strftime("%Y-%m-%dT%H:%M")


@pytest.fixture
def address(garage: Garage, tern: str, enter: Enter) -> Iterator[str]:
    enter("car", tern, altitude_m=1600)
    enter("drive", "d1", car=tern, at=ago(10), odometer=184_000)
    enter("drive", "d2", car=tern, at=ago(2), odometer=184_210)
    enter("job", "j1", car=tern, title="Boost leak", opened_at=ago(1))
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=ago(1))
    with running(garage) as served:
        yield served


@pytest.fixture(params=["away", "at the garage"])
def phone(browser: Browser, garage: Garage, address: str, request: pytest.FixtureRequest) -> Iterator[Away]:
    """A phone; `leave` takes it out of reach or not, and what it says is the same."""
    context = browser.new_context(
        viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    context.set_default_timeout(30_000)
    let_in(context, garage, address)
    held = Away(browser, address, context)
    if request.param == "at the garage":
        held.leave = lambda: None  # type: ignore[method-assign]  # it stays
    yield held
    put_away(context)
    assert held.troubles == []


def opened(phone: Away, address: str) -> Page:
    phone.open(RESTING_PLACE, address)
    phone.leave()
    return phone.pages[address]


def all_sent(phone: Away) -> None:
    phone.context.set_offline(False)
    send(phone.pages[RESTING_PLACE])
    assert waiting(phone.pages[RESTING_PLACE]) == []


def off_for_good(page: Page, *refs: str) -> None:
    """Lines and components come off for good on this phone, on another of its pages."""
    for ref in refs:
        kind, _, record = ref.partition("/")
        keep(page, told(kind, record, retired_on="2026-01-02"))
    lay(page)


@pytest.mark.parametrize(
    ("where", "box", "when", "button"),
    [
        ("/cars/tern/drives/new", "odometer", "at", "Keep"),
        ("/cars/tern/jobs/new", "odometer", "opened_at", "Open the job"),
        ("/cars/tern/tickets/new", "noticed_odometer", "noticed_at", "Report it"),
        ("/cars/tern/readings/new/idle_vacuum", "odometer", "taken_at", "Keep the reading"),
        ("/cars/tern/stopgaps/new", "fitted_odometer", "fitted_at", "Keep the stopgap"),
        ("/cars/tern/components/new", "fitted_odometer", "fitted_on", "Add the component"),
        (f"/lines/{LINE}/replace", "fitted_odometer", "fitted_on", "It is replaced"),
        (f"/lines/{LINE}/edit", "fitted_odometer", "fitted_on", "Keep"),
    ],
)
def test_an_odometer_that_runs_backwards_or_leaps_is_asked_about(
    phone: Away, where: str, box: str, when: str, button: str
) -> None:
    page = opened(phone, where)
    for reads, question in (
        ("12", r"The odometer read 184.210.km on .*\. Is 12.km right \(a new instrument cluster\)\?"),
        ("194 210", r"Is 194.210.km right, 10.000.km further\?"),
    ):
        page.locator(f"[name={box}]").first.fill(reads)
        page.get_by_role("button", name=button, exact=True).first.tap()
        expect(page.locator(".sure").filter(has_text="The odometer read")).to_have_text(re.compile(question))
    # Held to what was known then: it is right for a week ago.
    page.locator(f"[name={box}]").first.fill("184 100")
    moment = page.locator(f"[name={when}]").first
    moment.fill(ago(5)[:10] if when == "fitted_on" else ago(5))
    page.get_by_role("button", name=button, exact=True).first.tap()
    expect(page.get_by_text("The odometer read")).to_have_count(0)


def test_what_the_phone_read_itself_counts_too(phone: Away) -> None:
    page = opened(phone, "/cars/tern/drives/new")
    keep(page, told("drive", "d3", car=CAR, at="@now", odometer="189 000"), told("drive", "d2", odometer="184 400"))
    lay(page)
    page.locator("[name=odometer]").fill("188 999")
    page.get_by_role("button", name="Keep", exact=True).tap()
    expect(page.locator(".sure")).to_contain_text(
        "The odometer read 189\N{NO-BREAK SPACE}000\N{NO-BREAK SPACE}km today."
    )
    page.locator("[name=odometer]").fill("184 390")
    page.locator("[name=at]").fill(ago(1))
    page.get_by_role("button", name="Keep", exact=True).tap()
    expect(page.locator(".sure")).to_contain_text("The odometer read 184\N{NO-BREAK SPACE}400")


def found(page: Page) -> None:
    keep(page, told("ticket", "t1", found_at="@now", found_line=LINE, found_wrong="Split"))
    lay(page)
    page.locator("#repaired").evaluate(
        """one => { for (const fold of [one, ...one.querySelectorAll("details")]) {
          fold.removeAttribute("name"); fold.open = true } }"""
    )


def test_a_tickets_repair_is_asked_about_its_odometer_and_never_before_it_was_found(phone: Away) -> None:
    page = opened(phone, TICKET)
    found(page)
    gap = page.locator("#repaired form").nth(1)
    gap.get_by_label("What holds it for now").fill("Cable tie")
    gap.get_by_label("Days").fill("14")
    gap.locator("[name=fitted_odometer]").fill("12")
    gap.get_by_role("button", name="Held by this for now").tap()
    expect(gap.locator(".sure").filter(has_text="The odometer read")).to_be_visible()
    good = page.locator("#repaired form").first
    good.locator("[name=fitted_odometer]").fill("12")
    good.locator("[name=repaired_at]").fill(ago(0.5))
    good.get_by_role("button", name="Repaired for good").tap()
    expect(good.locator(".wrong")).to_contain_text("That is before it was found, today")
    expect(good.get_by_text("The odometer read")).to_have_count(0)  # the figure is of a new line
    good.get_by_label("The line was replaced").check()
    good.get_by_role("button", name="Repaired for good").tap()
    expect(good.locator(".sure").filter(has_text="The odometer read")).to_be_visible()


def test_a_step_typed_with_the_minute_it_follows_comes_just_after_it(phone: Away, garage: Garage) -> None:
    page = opened(phone, TICKET)
    found(page)
    good = page.locator("#repaired form").first
    good.locator("[name=repaired_at]").evaluate(
        "box => { const here = new Date(Date.now() - new Date().getTimezoneOffset() * 60000);"
        " box.value = here.toISOString().slice(0, 16); box.dispatchEvent(new Event('input', {bubbles: true})); }"
    )
    good.get_by_role("button", name="Repaired for good").tap()
    all_sent(phone)
    with garage.read() as db:
        stands = db.exec_driver_sql("SELECT stands FROM ticket WHERE id = 't1'").scalar()
    assert stands == "repaired"


def test_what_came_off_for_good_is_nothing_to_touch_or_to_find(phone: Away) -> None:
    page = opened(phone, JOB)
    page.locator(f".tap[href$='/touch/{LINE}']").dispatch_event("click")
    sheet = page.locator(f"[id='s.{LINE}']")
    sheet.get_by_role("button", name="Off at both ends").tap()
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 2 of 2 to go")
    off_for_good(page, f"line/{LINE}")
    expect(page.locator("#ends .end:visible")).to_have_count(0)
    expect(sheet).to_contain_text("It is no longer on the car.")
    expect(sheet.get_by_role("button")).to_have_count(0)
    page.get_by_role("link", name="Finding").tap()
    assert LINE not in page.locator("[name=line] option").evaluate_all("all => all.map(one => one.value)")
    shown = phone.shows(JOB)[JOB]
    assert "Nothing is off." in " ".join(shown)


@pytest.mark.parametrize(
    ("where", "lists", "gone"),
    [
        (TICKET, "found", f"line/{LINE}"),
        ("/cars/tern/stopgaps/new", "line", f"line/{LINE}"),
        ("/cars/tern/rechecks/new", "line", f"line/{LINE}"),
        ("/cars/tern/lines/new", "to_component", "component/tern.throttle"),
    ],
)
def test_what_came_off_for_good_is_no_choice(phone: Away, where: str, lists: str, gone: str) -> None:
    page = opened(phone, where)
    value = f"found_line={LINE}" if lists == "found" else gone.partition("/")[2]
    options = page.locator(f"[name={lists}] option[value='{value}']")
    assert options.evaluate_all("all => all.length > 0 && all.every(one => !one.hidden && !one.disabled)")
    page.locator(f"[name={lists}]").first.evaluate("(list, value) => { list.value = value }", value)
    off_for_good(page, gone)
    assert options.evaluate_all("all => all.every(one => one.hidden && one.disabled)")
    page.locator(f"form:has([name={lists}])").first.evaluate("form => form.requestSubmit()")  # it was chosen before
    expect(
        page.locator(".wrong:visible").filter(has_text=re.compile("Choose it from the list|off the car for good"))
    ).to_have_count(1)


def test_a_line_off_for_good_is_not_replaced(phone: Away) -> None:
    page = opened(phone, f"/lines/{LINE}/replace")
    off_for_good(page, f"line/{LINE}")
    page.get_by_role("button", name="It is replaced").tap()
    expect(page.get_by_text("This line is retired. Bring it back first.")).to_be_visible()


def test_a_component_comes_off_once_nothing_ends_at_it(phone: Away, garage: Garage) -> None:
    page = opened(phone, "/components/tern.throttle/retire")
    expect(page.get_by_text("These lines still end at it.")).to_be_visible()
    expect(page.get_by_role("button", name="Retire it")).to_have_count(0)
    off_for_good(page, "line/tern.coupler", "line/tern.inlet")
    expect(page.get_by_text("These lines still end at it.")).to_be_hidden()
    page.get_by_role("button", name="Retire it").tap()
    all_sent(phone)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT retired_on FROM component WHERE id = 'tern.throttle'").scalar()


def test_a_line_leads_from_one_component_to_another(phone: Away, garage: Garage, enter: Enter) -> None:
    enter("line", LINE, route="[[1,2],[3,4]]")
    page = opened(phone, f"/lines/{LINE}/edit")
    start = page.locator("[name=from_component]").input_value()
    end = page.locator("[name=to_component]").input_value()
    page.locator("[name=to_component]").select_option(start)
    page.get_by_role("button", name="Keep", exact=True).tap()
    expect(page.get_by_text("A line goes from one component to another.")).to_be_visible()
    other = page.locator("[name=to_component] option").evaluate_all("all => all.map(one => one.value)")
    page.locator("[name=to_component]").select_option(next(one for one in other if one not in {start, end}))
    page.get_by_role("button", name="Keep", exact=True).tap()
    all_sent(phone)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT route FROM line WHERE id = ?", (LINE,)).scalar() is None


def test_a_stopgap_ends_after_it_was_put_on_and_says_what_is_there_now(
    phone: Away, garage: Garage, enter: Enter
) -> None:
    enter("stopgap", "g1", car=CAR, line=LINE, used="Tape", limit_days=10, fitted_at=ago(1))
    page = opened(phone, "/stopgaps/g1")
    page.get_by_text("The old part again").tap()
    page.locator("[name=ended_at]").fill(ago(2))
    page.get_by_role("button", name="End the stopgap").tap()
    expect(page.get_by_text("That is before it was put on, yesterday")).to_be_visible()
    page.locator("[name=ended_at]").fill(ago(0.01))
    page.get_by_role("button", name="End the stopgap").tap()
    all_sent(phone)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT ended_how FROM stopgap").scalar() == "The old part again is on"


def test_a_weather_reports_barometer_is_asked_about_at_the_height_that_is_typed(phone: Away) -> None:
    """835 hPa at 1600 m: U.S. Standard Atmosphere 1976."""
    page = opened(phone, "/cars/tern/readings/new/idle_vacuum")
    page.locator("[name=value]").fill("19")
    page.locator("[name=barometer_value]").fill("1016")
    page.locator("[name=barometer_unit]").select_option("mbar")
    page.get_by_role("button", name="Keep the reading").tap()
    expect(page.locator(".sure").last).to_contain_text("At 1600 m the air itself is at about 835.2 mbar.")
    page.locator("[name=altitude_m]").fill("50")
    page.get_by_role("button", name="Keep the reading").tap()
    page.wait_for_url("**/readings/**")


def test_a_weather_reports_barometer_becomes_the_airs_own_at_a_tap(phone: Away, garage: Garage) -> None:
    """1016 mbar at 1600 m is 837.6 mbar: the altimeter setting of the ICAO, from memory."""
    page = opened(phone, "/cars/tern/readings/new/idle_vacuum")
    page.locator("[name=value]").fill("14")
    page.locator("[name=altitude_m]").fill("1600")
    page.locator("[name=barometer_value]").fill("1016")
    page.locator("[name=barometer_unit]").select_option("mbar")
    page.get_by_role("button", name="Keep the reading").tap()
    page.get_by_label("It is a weather report's: keep").tap()
    page.get_by_role("button", name="Keep the reading").tap()
    all_sent(phone)
    with garage.read() as db:
        (kept,) = db.exec_driver_sql("SELECT barometer_value FROM reading ORDER BY taken_at DESC LIMIT 1").one()
    assert kept == pytest.approx(float(air_reported("1016", "mbar", "1600") or ""))


@pytest.mark.parametrize(("opened_at", "then"), [(3.0, True), (0.1, False)])
def test_what_a_job_written_down_afterwards_touched_was_touched_then(
    phone: Away, garage: Garage, opened_at: float, then: bool
) -> None:
    began = ago(opened_at)
    page = opened(phone, "/cars/tern/jobs/blank")
    job = "00000000-0000-4000-8000-000000000000"  # as the blank page has it
    stored = datetime.fromisoformat(began).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:00.000Z")
    keep(page, told("job", job, car=CAR, title="Late", opened_at=stored))
    lay(page)
    page.locator(f".tap[href$='/touch/{LINE}']").dispatch_event("click")
    page.locator(f"[id='s.{LINE}']").get_by_role("button", name="Off at both ends").tap()
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 2 of 2 to go")
    all_sent(phone)
    with garage.read() as db:
        at = db.exec_driver_sql("SELECT at FROM touch").scalar()
    assert (at == stored) is then
