"""What a phone lays over its pages, held against what the server makes of the same entries once they are sent."""

import itertools
import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import cast

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page

from app.records.garage import Garage
from app.records.kinds import KINDS
from app.records.known import Known
from app.records.logbook import now
from tests.browser import work
from tests.browser.conftest import SCREEN, let_in
from tests.browser.pocket import AWAY, keep, put_away, rest, run, send, waiting, weather_before
from tests.browser.work import ACTS, Done, Work
from tests.torture.agree import KNOW, a_page, differing, everything
from tests.torture.proxy import FAIR, Proxy

_numbers = itertools.count(1)
#: Shrinking an example takes a browser minutes; the acts of one that fails are few enough to read.
_PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


WITHDRAW_ALL = """const { waiting, withdraw } = await bay("outbox.js");
await withdraw((await waiting()).map((one) => one.id));"""


@pytest.fixture
def held(browser: Browser, garage: Garage, address: str, tern: str) -> Iterator[tuple[Page, Proxy]]:
    """One page for every example: its own server part is put into it anew each time."""
    context = browser.new_context(viewport=SCREEN, service_workers="block")
    let_in(context, garage, address)
    with weather_before(address) as (proxy, through):
        yield rest(context, through), proxy
        put_away(context)


def as_server(garage: Garage) -> Known:
    with garage.read() as db:
        return everything(db)


def as_phone(page: Page, written: Known, as_of: str, refs: list[str]) -> Known:
    shown = run(page, f"return await ({KNOW})(given);", a_page(written, as_of, refs))
    return cast(Known, shown)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), phases=_PHASES)
@given(acts=st.lists(ACTS, min_size=5, max_size=30))
def test_what_waits_shows_as_it_will_once_it_is_sent(
    held: tuple[Page, Proxy], garage: Garage, acts: list[Done]
) -> None:
    page, proxy = held
    proxy.weather = AWAY
    page.clock.set_system_time(datetime.now().astimezone())
    run(page, WITHDRAW_ALL)  # of an example that failed
    doing = Work(next(_numbers))
    as_of, written = now(), as_server(garage)
    keep(page, *doing.begin())
    for done in acts:
        if done[0] == "clock":
            page.clock.set_system_time(datetime.now().astimezone() + timedelta(minutes=int(done[1])))
        elif done[0] == "send":
            _send(page, proxy)
        elif done[0] == "look":
            as_of, written = now(), as_server(garage)
        elif entries := doing.entries(done):
            keep(page, *entries)
    offline = as_phone(page, written, as_of, doing.refs)
    _send(page, proxy)
    assert [(one["kind"], one["fields"], one["reasons"]) for one in waiting(page)] == []
    every = as_server(garage)
    there = {ref: every[ref] for ref in doing.refs}
    assert _told_apart(offline, there) == {}
    # The page the phone kept from before still shows it, and so does a page of now.
    assert _told_apart(as_phone(page, written, as_of, doing.refs), there) == {}
    assert _told_apart(as_phone(page, every, now(), doing.refs), there) == {}


def _send(page: Page, proxy: Proxy) -> None:
    proxy.weather = FAIR
    send(page)
    proxy.weather = AWAY


def _told_apart(shown: Known, there: Known) -> dict[str, object]:
    return {ref: (shown[ref], there[ref]) for ref in differing(shown, there)}


def test_the_acts_enter_every_kind_of_record_but_those_with_a_file() -> None:
    """A kind that is added later, and that no act enters, fails here."""
    source = Path(work.__file__).read_text(encoding="utf-8")
    entered = set(re.findall(r'(?:told|self\._on)\(\s*"(\w+)"', source))
    assert entered == KINDS.keys() - {"photo", "logger"}
