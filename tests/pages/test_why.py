"""Why one suspect: the waterfall, and what its touches have to do with it."""

import re

import pytest
from starlette.testclient import TestClient

from app.pages.waterfall import WIDTH, factor, share, waterfall_of
from app.triage.waterfall import WaterfallStep
from tests.conftest import Enter
from tests.pages.test_tickets import ago
from tests.seen import seen

PATH = "/tickets/t1/suspects/tern.gauge_hose"


@pytest.fixture
def wanders(enter: Enter, tern: str) -> None:
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=ago(5))
    enter("sign", "t1.idle_needle", ticket="t1", sign="idle_needle", outcome="wavering", noted_at=ago(4))


@pytest.fixture
def touched(enter: Enter, wanders: None) -> None:
    enter("job", "j1", car="tern", title="Dash out", opened_at=ago(7), air_temp_c=2)
    enter("touch", "j1.tern.gauge_hose", job="j1", line="tern.gauge_hose", how="reached_past", at=ago(7))


def steps(*odds: float) -> list[WaterfallStep]:
    before = [1.0, *odds]
    return [
        WaterfallStep("base" if n == 0 else "sign", f"s{n}", each / before[n], f"Reason {n}: so", each)
        for n, each in enumerate(odds)
    ]


@pytest.mark.usefixtures("touched")
def test_every_factor_is_drawn_with_its_words_and_stands_in_a_table_too(client: TestClient) -> None:
    page = client.get(PATH).text
    drawing, table = page.partition("<table")[::2]
    for words in ("How often it is at fault, as a rule", "The needle wanders at idle", "Leaned on"):
        assert words in drawing
        assert words in table
    assert drawing.count('class="leap"') == table.count("<tr><th") + 1 - table.count("<thead")
    assert "style=" not in page


@pytest.mark.usefixtures("touched")
def test_it_says_what_its_touches_have_to_do_with_it(client: TestClient) -> None:
    text = seen(client.get(PATH).text)
    assert re.search(
        r"\d+% of that comes from touches of it. Had nothing been touched it would stand (first|at place)", text
    )


@pytest.mark.usefixtures("touched")
def test_another_suspect_says_that_none_of_it_comes_from_touches(client: TestClient) -> None:
    assert "None of that comes from touches of it." in seen(client.get("/tickets/t1/suspects/tern.coupler").text)


@pytest.mark.usefixtures("wanders")
def test_where_nothing_was_touched_nothing_is_said_to_have_been(client: TestClient) -> None:
    assert "Nothing that was touched makes it likelier." in seen(client.get(PATH).text)


@pytest.mark.usefixtures("wanders")
def test_an_overruled_grade_says_its_note(client: TestClient) -> None:
    form = {
        "kind": "gauge",
        "sign": "idle_needle",
        "outcome": "wavering",
        "grade": "rarely",
        "note": "the dial is damped",
    }
    client.post("/cars/tern/overrules/new", data=form)
    assert "on this car, the dial is damped" in client.get(PATH).text


def test_each_bar_begins_where_the_one_before_it_ended() -> None:
    drawn = waterfall_of(steps(0.01, 0.1, 0.05, 4.0))
    assert [bar.sort for bar in drawn.bars] == ["ends", "up", "down", "up", "ends"]
    first, up, down, last, now = drawn.bars
    assert up.x == pytest.approx(first.width)
    assert down.x + down.width == pytest.approx(up.x + up.width)
    assert last.x == pytest.approx(down.x)
    assert now.width == pytest.approx(last.x + last.width)
    assert last.x + last.width <= WIDTH
    assert [fall[0] for fall in drawn.falls] == pytest.approx([first.width, up.x + up.width, down.x, now.width])


def test_the_same_factor_is_as_long_wherever_it_falls() -> None:
    _, low, high, _ = waterfall_of(steps(0.001, 0.01, 0.1)).bars
    assert low.width == pytest.approx(high.width)


def test_bars_lie_below_their_words_and_above_the_next() -> None:
    drawn = waterfall_of(steps(0.01, 0.1, 0.05, 4.0))
    tops = [bar.bar_y for bar in drawn.bars]
    assert tops == sorted(tops)
    assert all(after.y - 15 >= before.bar_y + 12 for before, after in zip(drawn.bars, drawn.bars[1:], strict=False))
    assert drawn.height >= drawn.bars[-1].bar_y + 12


@pytest.mark.parametrize(("by", "said"), [(12.4, "12"), (3.44, "3.4"), (0.5, "0.50"), (0.056, "0.056"), (1.0, "1.0")])
def test_a_factor_has_the_figures_that_count(by: float, said: str) -> None:
    assert factor(by) == said


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (0.00004, "under 0.01%"),
        (0.004, "0.40%"),
        (0.0204, "2.0%"),
        (0.424, "42%"),
        (0.994, "99.4%"),
        (0.9999, "over 99.9%"),
    ],
)
def test_a_share_shows_how_nearly_nothing_or_all_it_is(probability: float, said: str) -> None:
    assert share(probability) == said
