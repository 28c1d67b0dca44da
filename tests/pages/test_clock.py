"""A box for a moment holds the moment its page is written, however long the program has run."""

import re
import time
from collections.abc import Callable, Iterator

import pytest
from starlette.testclient import TestClient

from app.pages import words
from tests.conftest import Enter

PAGES = (
    "/cars/tern/readings/new/idle_vacuum",
    "/cars/tern/drives/new",
    "/cars/tern/jobs/new",
    "/cars/tern/stopgaps/new",
    "/cars/tern/rechecks/new",
    "/jobs/job1/findings/new",
    "/jobs/job1/parts/new",
    "/tickets/ticket1/found?suspect=tern.coupler",
)


@pytest.fixture
def live_in(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Move the house to another time zone, in which it is another hour by now."""

    def move(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        stand_here()

    yield move
    monkeypatch.undo()
    stand_here()


def stand_here() -> None:
    time.tzset()
    for kept in (words.local, words._date_of, words._day):
        kept.cache_clear()


@pytest.mark.parametrize("page", PAGES)
def test_a_page_written_twice_says_twice_what_the_time_is(
    client: TestClient, enter: Enter, tern: str, live_in: Callable[[str], None], page: str
) -> None:
    at = "2026-04-18T08:00:00.000Z"
    enter("job", "job1", car=tern, title="Coupler", opened_at=at)
    enter("ticket", "ticket1", car=tern, what="Boost wanders", noticed_at=at)
    hours = []
    for zone in ("Etc/GMT+6", "Etc/GMT-6"):
        live_in(zone)
        hours.append(re.findall(r'name="\w+" value="[\d-]+T(\d\d):', client.get(page).text))
    assert hours[0]
    assert all((int(east) - int(west)) % 24 in {11, 12, 13} for west, east in zip(*hours, strict=True))
