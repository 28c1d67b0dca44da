"""The phone writes figures and moments as the garage does, to the letter, in whatever time zone both stand."""

import time
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser

from app.pages import words
from app.records.fields import moment_text
from tests.browser.pocket import put_away

Phone = Callable[[str, Sequence[Sequence[object]]], list[Any]]
WRITE = """async ([name, calls]) => {
  const { filters } = await import("/static/bay/words.js");
  return calls.map(args => filters[name](...args));
}"""
FEW = settings(max_examples=15, deadline=None)

figures = st.floats(-5_000_000, 5_000_000) | st.integers(-80_000, 80_000).map(lambda n: n / 16)
moments = st.integers(36 * 10**9, 4 * 10**12).map(lambda ms: moment_text(datetime.fromtimestamp(ms / 1000, UTC)))
near = st.integers(-9 * 24 * 60, 9 * 24 * 60).map(lambda n: moment_text(datetime.now(UTC) + timedelta(minutes=n)))
days = st.dates(date(1971, 1, 1), date(2099, 1, 1)).map(str) | near.map(lambda text: text[:10])


@pytest.fixture(params=["UTC", "Europe/Berlin", "America/St_Johns"])
def phone(
    browser: Browser, served_demo: str, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Phone]:
    """A phone's own way of writing, in the time zone in which the garage then stands as well."""
    monkeypatch.setenv("TZ", request.param)
    _stand_here()
    context = browser.new_context(timezone_id=request.param)
    page = context.new_page()
    page.goto(f"{served_demo}/waiting")
    yield lambda name, calls: list(page.evaluate(WRITE, [name, calls]))
    put_away(context)
    monkeypatch.undo()
    _stand_here()


def _stand_here() -> None:
    time.tzset()
    for kept in (words.local, words._date_of, words._day):
        kept.cache_clear()


def test_figures_are_written_alike(phone: Phone) -> None:
    @FEW
    @given(st.lists(figures, min_size=40))
    def alike(some: list[float]) -> None:
        assert phone("number", [[n] for n in some]) == [words.number(n) for n in some]
        for places in (0, 1, 3):
            assert phone("number", [[n, places] for n in some]) == [words.number(n, places) for n in some]
        assert phone("distance", [[n, "km"] for n in some]) == [words.distance(n, "km") for n in some]
        minutes = [abs(n) / 20_000 for n in some]
        assert phone("roughly", [[n] for n in minutes]) == [words.roughly(n) for n in minutes]
        shares = [abs(n) / 5_000_000 for n in some]
        assert phone("percent", [[n] for n in shares]) == [words.percent(n) for n in shares]

    alike()


def test_a_figure_as_typed_is_written_as_the_garage_will_keep_it(phone: Phone) -> None:
    typed = ["17,4", "184 210", "184\u00a0210,5", "\u22123.5", "-3,25", "1e3", "0.125", "007"]
    kept = [17.4, 184_210, 184_210.5, -3.5, -3.25, 1000, 0.125, 7]
    assert phone("number", [[text] for text in typed]) == [words.number(n) for n in kept]


def test_minutes_half_way_between_are_written_alike(phone: Phone) -> None:
    halves = [n / 2 for n in range(200)]
    assert phone("roughly", [[n] for n in halves]) == [words.roughly(n) for n in halves]


@pytest.mark.parametrize("name", ["day", "moment", "clock"])
def test_moments_are_written_alike(phone: Phone, name: str) -> None:
    @FEW
    @given(st.lists(moments | near, min_size=40))
    def alike(some: list[str]) -> None:
        assert phone(name, [[text] for text in some]) == [words.FILTERS[name](text) for text in some]

    alike()


@pytest.mark.parametrize("name", ["day", "in_days", "due"])
def test_days_are_written_alike(phone: Phone, name: str) -> None:
    @FEW
    @given(st.lists(days, min_size=40))
    def alike(some: list[str]) -> None:
        assert phone(name, [[text] for text in some]) == [words.FILTERS[name](text) for text in some]

    alike()


def test_a_long_note_is_cut_alike(phone: Phone) -> None:
    @FEW
    @given(st.lists(st.text(st.characters(exclude_categories=("C", "Z")) | st.just(" ") | st.just("\n"), min_size=1)))
    def alike(some: list[str]) -> None:
        notes = [note for note in some if note.strip()]
        assert phone("headline", [[note] for note in notes]) == [words.headline(note) for note in notes]

    alike()
    assert phone("headline", [["x" * 81], ["😀" * 90]]) == [words.headline("x" * 81), words.headline("😀" * 90)]


def test_counts_are_written_alike(phone: Phone) -> None:
    assert phone("count", [[n, "entry", "entries"] for n in range(3)]) == ["0 entries", "1 entry", "2 entries"]
    assert phone("count", [[n, "loose end"] for n in range(3)]) == [words.count(n, "loose end") for n in range(3)]
