"""A whole ticket where nothing answers: what the phone shows is what the garage's own page says once all is sent."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.bay import Bay, send, take_along
from tests.browser.conftest import REPORT_VIOLATIONS, SCREEN, let_in
from tests.browser.pocket import lay, put_away, waiting
from tests.conftest import Enter
from tests.pages.test_tickets import ago

#: What a person reads of the lists and forms, with everything unfolded.
READ = """() => {
  for (const fold of document.querySelectorAll("details")) { fold.removeAttribute("name"); fold.open = true; }
  const shown = one => one.checkVisibility();
  return [...document.querySelectorAll("main [data-list], main form, .steps, main > div > .plate, #do-not-drive")]
    .filter(shown).map(one => one.innerText.replace(/\\s+/g, " ").trim()).filter(Boolean);
}"""

#: What a page leaves to the phone's scripts, and says to nobody else.
LEAVE_OUT = """() => {
  const made = "[data-form], .engine-now, #suspects > details, #checks [data-list] > details, noscript";
  for (const one of document.querySelectorAll(made)) one.style.display = "none";
}"""
#: The suspects in their order, each with its share.
SUSPECTS = """() => [...document.querySelectorAll("main .row.over")]
  .map(one => [one.querySelector("strong").textContent, one.querySelector(".num").textContent])"""


@pytest.fixture
def bay(garage: Garage, tern: str, enter: Enter) -> Iterator[Bay]:
    """A garage with one small car, its own idle vacuum, and a job that came before the fault."""
    healthy = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    enter("baseline", f"{tern}.idle_vacuum.warm", car=tern, centre=19.5, spread=0.6, **healthy)
    enter("job", "coupler", car=tern, title="Coupler", opened_at=ago(4), air_temp_c=6, odometer=100_000)
    enter(
        "touch", f"coupler.{tern}.gauge_hose", job="coupler", line=f"{tern}.gauge_hose", how="reached_past", at=ago(4)
    )
    opened = Bay(garage)
    yield opened
    opened.stop()


@pytest.fixture
def page(browser: Browser, bay: Bay) -> Iterator[Page]:
    """A phone that took the car along, and stands where nothing answers."""
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    context.add_init_script(REPORT_VIOLATIONS)
    let_in(context, bay.garage, bay.address)
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("console", lambda said: troubles.append(said.text) if said.text.startswith("CSP ") else None)
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    take_along(opened, bay)
    bay.stop()
    yield opened
    put_away(context)
    assert troubles == []


def report(page: Page, bay: Bay) -> None:
    page.goto(f"{bay.address}/cars/tern/tickets/new")
    page.get_by_label("What is not as it was").fill("Boost wanders")
    page.get_by_role("button", name="Report it").tap()
    page.wait_for_url("**/tickets/*?car=tern")
    expect(page.get_by_role("heading", name="Boost wanders")).to_be_visible()


def waits(page: Page) -> int:
    return int(page.locator("#waiting b").text_content() or 0)


def tap(page: Page, button: str, within: str = "main", *, makes: int = 1) -> None:
    """Tap a button, and see what it made kept."""
    before = waits(page)
    page.locator(within).get_by_role("button", name=button, exact=True).first.tap()
    expect(page.locator("#waiting b")).to_have_text(str(before + makes))


def unfold(page: Page, fold: str) -> None:
    page.locator(fold).evaluate(
        "one => { for (let at = one; at; at = at.parentElement) if ('open' in at) at.open = true }"
    )


def see_signs(page: Page) -> None:
    for sign, answer in (("boost_stability", "Wanders or surges"), ("hiss", "At idle"), ("brake_pedal", "Hard")):
        unfold(page, f"#sign-{sign}")
        tap(page, answer, f"#sign-{sign}")
    expect(page.locator("#do-not-drive")).to_contain_text("A hard pedal")
    unfold(page, "#sign-idle_vacuum")
    page.locator("#sign-idle_vacuum input[name=value]").fill("17,5")
    tap(page, "Keep as a reading", "#sign-idle_vacuum", makes=2)
    expect(page.locator("#sign-idle_vacuum")).to_contain_text("17.5 inHg, held to this car's usual 19.5")


def check(page: Page, result: str) -> None:
    unfold(page, "#checks details[data-check] >> nth=0")
    tap(page, result, "#checks details[data-check] >> nth=0")


def find(page: Page) -> None:
    unfold(page, "#found")
    page.locator("#found").get_by_label("What was wrong with it").fill("Split at the barb")
    page.locator("#found select").select_option(label="Gauge hose, manifold to gauge")
    tap(page, "Found it", "#found")
    expect(page.get_by_role("link", name="Repaired")).to_be_visible()


def mend(page: Page, *, makes: int = 1) -> None:
    unfold(page, "#repaired form >> nth=0")
    page.locator("#repaired").get_by_label("What was done").fill("Cut back and pushed on again")
    tap(page, "Repaired for good", "#repaired", makes=makes)


def mend_what_was_patched(page: Page) -> None:
    # The stopgap ends, and the line is no longer one.
    mend(page, makes=3)


def patch(page: Page) -> None:
    unfold(page, "#repaired form >> nth=1")
    page.locator("#repaired").get_by_label("What holds it for now").fill("Cable tie")
    page.locator("#repaired").get_by_label("Days").fill("14")
    tap(page, "Held by this for now", "#repaired", makes=3)


def prove_by_a_reading(page: Page) -> None:
    unfold(page, "#proved form >> nth=0")
    page.locator("#proved input[name=value]").first.fill("19.5")
    tap(page, "Proved fixed", "#proved", makes=2)


def prove_by_a_reason(page: Page) -> None:
    unfold(page, "#proved form >> nth=-1")
    page.get_by_label("What shows that it is fixed").fill("No hiss since")
    tap(page, "Proved fixed", "#proved details >> nth=-1")


def reopen(page: Page) -> None:
    unfold(page, "#reopen")
    page.get_by_label("What shows it").fill("Back after 20 km")
    tap(page, "Go on looking", "#reopen")


def see_more(page: Page) -> None:
    unfold(page, "#sign-hiss")
    tap(page, "None", "#sign-hiss")
    expect(page.locator("#sign-idle_vacuum")).to_contain_text("Before the repair: A little low")


Step = Callable[[Page], None]
STEPS: dict[str, tuple[Step, ...]] = {
    "reported": (),
    "hunted": (see_signs, lambda page: check(page, "Sound"), lambda page: check(page, "Can't tell")),
    "found": (see_signs, find),
    "repaired for good": (see_signs, find, mend),
    "held by a stopgap": (find, patch),
    "repaired over a stopgap": (find, patch, reopen, find, mend_what_was_patched),
    "proved by a reading": (see_signs, find, mend, prove_by_a_reading),
    "proved by a reason": (find, patch, prove_by_a_reason),
    "a second fault hunted": (see_signs, find, mend, reopen, see_more, lambda page: check(page, "Sound")),
    "a second fault under a stopgap": (see_signs, find, patch, reopen, see_more),
    "reopened and found again": (see_signs, find, mend, prove_by_a_reading, reopen, find),
}


@pytest.mark.parametrize("steps", STEPS.values(), ids=STEPS)
def test_a_ticket_away_from_the_garage_reads_as_the_garage_s_own(
    page: Page, bay: Bay, browser: Browser, steps: tuple[Step, ...]
) -> None:
    report(page, bay)
    for step in steps:
        step(page)
    suspects, shown = read(page)
    page.evaluate(LEAVE_OUT)
    without = page.evaluate(READ)
    bay.start()
    send(page)
    assert [(one["fields"], one["reasons"]) for one in waiting(page)] == []
    assert at_the_garage(browser, bay, page.url, scripts=True) == (suspects, shown)
    assert at_the_garage(browser, bay, page.url, scripts=False) == (suspects, without)


def read(page: Page) -> tuple[list[list[str]], list[str]]:
    """The suspects, and what is read, once all that is on this phone is laid over the page and ranked."""
    page.locator("#suspects > details .row.over").first.wait_for(state="attached")
    lay(page)
    return page.evaluate(SUSPECTS), page.evaluate(READ)


def at_the_garage(browser: Browser, bay: Bay, address: str, *, scripts: bool) -> tuple[list[list[str]], list[str]]:
    """What the garage's own page says to somebody who has entered nothing: its suspects, and what is read of it."""
    context = browser.new_context(viewport=SCREEN, service_workers="block", java_script_enabled=scripts)
    let_in(context, bay.garage, bay.address)
    looking = context.new_page()
    looking.goto(address)
    if scripts:
        suspects, said = read(looking)
    else:
        looking.evaluate(LEAVE_OUT)
        said = looking.evaluate(READ)
        looking.goto(f"{address.partition('?')[0]}/suspects")
        suspects = looking.evaluate(SUSPECTS)
    put_away(context)
    return suspects, said


def test_a_proved_ticket_reopened_far_from_the_garage_is_open_on_its_car_at_once(page: Page, bay: Bay) -> None:
    """Reopened on the phone alone, it stood in no list of open tickets until the garage had heard of it."""
    report(page, bay)
    for step in (find, mend, prove_by_a_reading):
        step(page)
    bay.start()
    send(page)
    ticket, car = page.url, f"{bay.address}/cars/tern"
    page.goto(car)
    expect(page.locator("#tickets")).to_be_hidden()
    page.goto(ticket)
    bay.stop()
    reopen(page)
    page.goto(car)
    expect(page.locator("#tickets a.row:visible")).to_contain_text("Boost wanders")
