"""The outbox in a real browser: nothing is lost, nothing is sent twice, and whatever stays says why."""

import json
from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Request, expect

from app.records.garage import Garage
from tests.browser.conftest import FLAGS, SCREEN, let_in
from tests.browser.pocket import AWAY, keep, put_away, rest, run, send, strip, told, waiting, weather_before
from tests.torture.phone import chromium
from tests.torture.proxy import FAILED, FAIR, LOST_ANSWER, UNPAIRED, Proxy

CAR = "tern"


def job(record: str = "job1", **fields: object) -> dict[str, object]:
    return told("job", record, **{"car": CAR, "title": "Clutch", "opened_at": "@now", **fields})


def touch(line: str = "coupler", record: str = "job1") -> dict[str, object]:
    line_id = f"{CAR}.{line}"
    return told("touch", f"{record}.{line_id}", job=record, line=line_id, how="disconnected", at="@now")


def finding(what: str = "Oil mist") -> dict[str, object]:
    return told("finding", "finding1", car=CAR, what=what, seen_at="@now")


def recorded(garage: Garage) -> list[str]:
    """What the server has of the phone's, in order of arrival."""
    with garage.read() as db:
        return list(
            db.exec_driver_sql("SELECT id FROM entry WHERE entered_by <> 'bay phone' ORDER BY seq").scalars().all()
        )


def ids(*entries: dict[str, object]) -> list[object]:
    return [one["id"] for one in entries]


@pytest.fixture
def proxy(address: str, tern: str) -> Iterator[tuple[Proxy, str]]:
    with weather_before(address) as both:
        yield both


@pytest.fixture
def context(browser: Browser, garage: Garage, address: str) -> Iterator[BrowserContext]:
    """A phone. Its service worker is left out: what it does with pages is tested elsewhere."""
    opened = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block")
    let_in(opened, garage, address)
    yield opened
    put_away(opened)


def test_a_refused_entry_stays_with_its_reason_and_holds_only_what_needs_it(
    context: BrowserContext, address: str, tern: str, garage: Garage
) -> None:
    page = rest(context, address)
    wrong, needs_it, free = job(odometer="far"), touch(), finding()
    for one in (wrong, needs_it, free):
        keep(page, one)
    send(page)
    first, second = waiting(page)
    assert (first["id"], first["state"]) == (wrong["id"], "refused")
    assert first["reasons"] == {"odometer": "Write a number, such as 5 or 5.5."}
    assert (second["id"], second["state"], second["reasons"]) == (needs_it["id"], "waiting", {})
    assert recorded(garage) == ids(free)
    assert "1 to be mended" in strip(page)


def test_mended_on_the_page_of_what_waits_it_is_sent_and_so_is_what_needs_it(
    context: BrowserContext, address: str, tern: str, garage: Garage
) -> None:
    page = rest(context, address)
    needs_it = touch()
    keep(page, job(odometer="far"))
    keep(page, needs_it)
    send(page)
    page.goto(address + "/waiting")
    row = page.locator("#list details").first
    row.locator("summary").tap()
    expect(row.locator("summary")).to_contain_text("Write a number, such as 5 or 5.5.")
    expect(page.locator("#list summary").nth(1)).to_contain_text("It waits for one above that was refused")
    expect(row.locator(".field .wrong")).to_have_text("Write a number, such as 5 or 5.5.")
    row.locator("input[name=odometer]").fill("184 210")
    row.get_by_role("button", name="Send again").tap()
    page.locator("#nothing").wait_for()
    assert waiting(page) == []
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT odometer FROM job").scalar() == 184_210
    assert recorded(garage)[1:] == ids(needs_it)


def test_what_is_being_mended_stays_typed_while_other_entries_come_and_go(
    context: BrowserContext, served: str, tern: str
) -> None:
    page = rest(context, served)
    keep(page, job(odometer="far"))
    send(page)
    page.goto(served + "/waiting")
    row = page.locator("#list details").first
    row.locator("summary").tap()
    row.locator("input[name=odometer]").fill("184 210")
    keep(page, touch())
    expect(page.locator("#list details")).to_have_count(2)
    keep(page, finding())
    send(page)
    expect(page.locator("#list details")).to_have_count(2)
    expect(row.locator("input[name=odometer]")).to_have_value("184 210")


def test_what_is_mended_after_the_server_took_it_unseen_counts_over_it(
    context: BrowserContext, proxy: tuple[Proxy, str], garage: Garage
) -> None:
    weather, address = proxy
    page = rest(context, address)
    weather.weather = {LOST_ANSWER: 1.0}
    keep(page, job(title="Clucth"))
    send(page)
    assert len(recorded(garage)) == 1
    page.goto(address + "/waiting")
    row = page.locator("#list details").first
    row.locator("summary").tap()
    row.locator("input[name=title]").fill("Clutch")
    weather.weather = FAIR
    row.get_by_role("button", name="Send again").tap()
    page.locator("#nothing").wait_for()
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT title FROM job").scalar() == "Clutch"


def test_withdrawn_it_is_gone_and_never_sent(context: BrowserContext, proxy: tuple[Proxy, str], garage: Garage) -> None:
    weather, address = proxy
    page = rest(context, address)
    weather.weather = AWAY
    keep(page, finding())
    page.goto(address + "/waiting")
    row = page.locator("#list details").first
    row.locator("summary").tap()
    row.get_by_role("button", name="Withdraw").tap()
    page.locator("#nothing").wait_for()
    weather.weather = FAIR
    send(page)
    assert (waiting(page), recorded(garage)) == ([], [])


def test_an_unpaired_phone_keeps_everything_and_says_so(
    context: BrowserContext, proxy: tuple[Proxy, str], garage: Garage
) -> None:
    weather, address = proxy
    page = rest(context, address)
    weather.weather = {UNPAIRED: 1.0}
    sent = [job(), touch(), finding()]
    for one in sent:
        keep(page, one)
    send(page)
    page.goto(address + "/waiting")
    expect(page.locator("#trouble")).to_contain_text("not paired")
    expect(page.locator("#waiting")).to_contain_text("not paired")
    assert [(one["id"], one["state"]) for one in waiting(page)] == [(one["id"], "waiting") for one in sent]
    weather.weather = FAIR
    page.get_by_role("button", name="Send now").tap()
    page.locator("#nothing").wait_for()
    assert recorded(garage) == ids(*sent)


@pytest.mark.parametrize("what", [LOST_ANSWER, FAILED])
def test_without_an_answer_that_names_it_nothing_leaves_and_nothing_arrives_twice(
    context: BrowserContext, proxy: tuple[Proxy, str], garage: Garage, what: str
) -> None:
    weather, address = proxy
    page = rest(context, address)
    weather.weather = {what: 1.0}
    sent = [job(), touch()]
    keep(page, *sent)
    for _ in range(3):
        send(page)
        assert len(waiting(page)) == 2
    weather.weather = FAIR
    send(page)
    assert (waiting(page), recorded(garage)) == ([], ids(*sent))


def test_a_reload_and_a_killed_tab_lose_nothing(
    context: BrowserContext, proxy: tuple[Proxy, str], garage: Garage
) -> None:
    weather, address = proxy
    weather.weather = AWAY
    page = rest(context, address)
    sent = [job(), touch(), finding()]
    keep(page, sent[0])
    page.reload()
    keep(page, sent[1])
    keep(page, sent[2])
    with suppress(Error):
        page.goto("chrome://crash", timeout=2_000)
    page.close()
    page = rest(context, address)
    assert [one["id"] for one in waiting(page)] == ids(*sent)
    weather.weather = FAIR
    send(page)
    assert recorded(garage) == ids(*sent)


def test_a_browser_started_again_still_has_everything(
    browser: Browser, proxy: tuple[Proxy, str], garage: Garage, tmp_path: Path
) -> None:
    weather, address = proxy
    weather.weather = AWAY
    sent = [job(), touch()]
    with _profile(browser, tmp_path) as context:
        let_in(context, garage, address)
        keep(rest(context, address), *sent)
    with _profile(browser, tmp_path) as context:
        let_in(context, garage, address)
        page = rest(context, address)
        assert [one["id"] for one in waiting(page)] == ids(*sent)
        weather.weather = FAIR
        send(page)
        assert waiting(page) == []
    assert recorded(garage) == ids(*sent)


def _profile(browser: Browser, folder: Path) -> BrowserContext:
    return browser.browser_type.launch_persistent_context(
        folder / "profile", executable_path=chromium(), args=FLAGS, service_workers="block"
    )


def test_two_tabs_send_each_entry_once(context: BrowserContext, address: str, tern: str, garage: Garage) -> None:
    one, other = rest(context, address), rest(context, address)
    posted: list[str] = []
    context.on("request", lambda asked: posted.extend(_entries(asked)))
    sent = [told("finding", f"finding{n}", car=CAR, what="Oil mist", seen_at="@now") for n in range(120)]
    keep(one, *sent)
    for page in (one, other):
        run(page, "globalThis.sending = (await bay('sender.js')).send();")
    for page in (one, other):
        page.evaluate("() => globalThis.sending")
    assert waiting(one) == waiting(other) == []
    assert sorted(posted) == sorted(map(str, ids(*sent)))
    assert recorded(garage) == ids(*sent)


def _entries(asked: Request) -> list[str]:
    if asked.method != "POST" or not asked.url.endswith("/entries"):
        return []
    return [one["id"] for one in json.loads(asked.post_data or "")["entries"]]


def test_what_is_entered_in_one_tab_shows_in_the_others_strip(
    context: BrowserContext, proxy: tuple[Proxy, str]
) -> None:
    weather, address = proxy
    weather.weather = AWAY
    one, other = rest(context, address), rest(context, address)
    assert strip(other) == ""
    keep(one, job(), touch())
    expect(other.locator("#waiting")).to_contain_text("2 entries wait on this phone since today")
    weather.weather = FAIR
    send(one)
    expect(other.locator("#waiting")).to_be_hidden()


def test_after_three_days_the_strip_asks_for_the_garage(context: BrowserContext, proxy: tuple[Proxy, str]) -> None:
    weather, address = proxy
    weather.weather = AWAY
    page = rest(context, address)
    keep(page, finding())
    for days, warned in ((2.9, False), (3.1, True)):
        page.clock.set_system_time(datetime.now().astimezone() + timedelta(days=days))
        page.reload()
        expect(page.locator("#waiting")).to_contain_text("1 entry waits")
        assert ("bring it near the garage" in strip(page)) is warned


def test_on_one_phone_the_last_word_stands_though_its_clock_was_set_back(
    context: BrowserContext, address: str, tern: str, garage: Garage
) -> None:
    page = rest(context, address)
    keep(page, job(title="Said first"))
    page.clock.set_system_time(datetime.now().astimezone() - timedelta(minutes=30))
    keep(page, told("job", "job1", title="Said last"))
    send(page)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT title FROM job").scalar() == "Said last"


def full(page: Page, address: str, room: int | None) -> None:
    """Leave the phone no room, or give it back. Chromium looks anew once a site's database has been at rest."""
    session = page.context.new_cdp_session(page)
    asked = {"origin": address} | ({} if room is None else {"quotaSize": room})
    session.send("Storage.overrideQuotaForOrigin", asked)


def test_a_full_phone_keeps_what_was_typed_and_says_so(
    context: BrowserContext, address: str, tern: str, garage: Garage
) -> None:
    page = context.new_page()
    full(page, address, 1)
    page.goto(f"{address}/cars/{tern}/jobs/new")
    title = page.get_by_label("What you are going to do")
    title.fill("Clutch")
    page.get_by_role("button", name="Open the job").tap()
    expect(page.get_by_role("alert")).to_contain_text("This phone is full")
    expect(title).to_have_value("Clutch")
    assert waiting(page) == []
    full(page, address, None)
    page.get_by_role("button", name="Open the job").tap()
    page.get_by_role("heading", name="Clutch", level=1).wait_for()
    assert len(recorded(garage)) == 1


def test_a_full_phone_does_not_send_for_ever(
    browser: Browser, proxy: tuple[Proxy, str], garage: Garage, tmp_path: Path
) -> None:
    weather, address = proxy
    weather.weather = AWAY
    sent = [job(), touch()]
    with _profile(browser, tmp_path) as context:
        let_in(context, garage, address)
        keep(rest(context, address), *sent)
    weather.weather = FAIR
    with _profile(browser, tmp_path) as context:
        let_in(context, garage, address)
        blank = context.new_page()
        full(blank, address, 1)
        page = rest(context, address)
        send(page)
        assert waiting(page) == []
    assert recorded(garage) == ids(*sent)


def test_a_finger_that_taps_twice_makes_one_record(
    context: BrowserContext, address: str, tern: str, garage: Garage
) -> None:
    page = context.new_page()
    page.goto(f"{address}/cars/{tern}/jobs/new")
    page.get_by_label("What you are going to do").fill("Clutch")
    page.get_by_role("button", name="Open the job").dblclick()
    page.get_by_role("heading", name="Clutch", level=1).wait_for()
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM job").scalar() == 1
