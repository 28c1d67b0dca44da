"""Whether readings drift, on the chart's page, the car's page, and in the ticket begun from them."""

import re
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.airpath.readings import ReadingKind
from app.pages.drift import RULE_SAID, WHY
from app.pages.drift_figure import WIDTH
from app.records.drift import RULE_OF, drifting
from app.records.garage import Garage
from tests.conftest import Count, Enter
from tests.seen import seen

IDLE = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
TRIM = {"what": "fuel_trim_idle", "condition": "warm", "unit": "%"}
STEADY = (19.5, 19.6, 19.4, 19.5, 19.6, 19.4, 19.5, 19.5)
CHART = "/cars/tern/readings/idle_vacuum/drift?condition=warm"


def _read(
    enter: Enter, figures: tuple[float, ...], start: int = 1, *, healthy: bool = True, of: dict[str, str] = IDLE
) -> None:
    for n, value in enumerate(figures, start):
        at = f"2024-{n:02}-10T10:00:00.000Z" if n < 13 else f"2025-{n - 12:02}-10T10:00:00.000Z"
        fields = {"value": value, "taken_at": at, "healthy": healthy} | of
        enter("reading", f"{of['what'].removesuffix('_vacuum')}{n}", at, car="tern", **fields)


@pytest.fixture
def sliding(enter: Enter, tern: str) -> str:
    """Idle vacuum that fades from the ninth reading on, though each was called healthy, after a job on the coupler."""
    _read(enter, STEADY)
    enter("job", "clutch", "2024-08-20T10:00:00.000Z", car=tern, title="Clutch", opened_at="2024-08-20T10:00:00.000Z")
    at = "2024-08-20T11:00:00.000Z"
    enter("touch", "clutch.tern.coupler", at, job="clutch", line="tern.coupler", how="disconnected", ends="both", at=at)
    enter("part_change", "p1", at, job="clutch", position="Clutch", on_part="Sintered plate", at=at)
    _read(enter, (19.3, 19.1, 18.9, 18.8), 9)
    return tern


def test_every_kind_of_reading_has_a_chart_that_judges_it() -> None:
    assert set(RULE_OF) == set(WHY) == set(ReadingKind)
    assert set(RULE_SAID) == set(RULE_OF.values())


@pytest.mark.usefixtures("sliding")
def test_the_car_says_since_when_and_what_was_touched_just_before(client: TestClient) -> None:
    page = client.get("/cars/tern").text
    said = seen(page)
    assert "Idle vacuum, warm drifts" in said
    assert "inHg lower than usual since 10 Sep 2024, 4 readings." in said
    assert "Touched just before: Throttle coupler (Clutch, 20 Aug 2024)." in said
    assert f'href="{CHART}"' in page
    assert 'href="/cars/tern/tickets/new?reading=idle12"' in page


@pytest.mark.usefixtures("sliding")
def test_the_ticket_begins_with_the_sign_set_and_the_day_it_began(client: TestClient, garage: Garage) -> None:
    # By itself 18.8 inHg would still pass for normal: less than 1 inHg off.
    form = client.get("/cars/tern/tickets/new?reading=idle12").text
    assert 'value="Idle vacuum is a little low"' in form
    assert "outcome=slightly_low" in form
    assert 'name="noticed_at" value="2024-09-10T' in form
    assert "the last 4 readings lie" in seen(form)
    sent = {"what": "Idle vacuum is a little low", "noticed_at": "2024-09-10T10:00", "reading": "idle12"}
    assert client.post("/cars/tern/tickets/new", data=sent | {"record": "t1"}).headers["location"] == "/tickets/t1"
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT sign, outcome, reading FROM sign").all() == [
            ("idle_vacuum", "slightly_low", "idle12")
        ]


@pytest.mark.usefixtures("sliding")
def test_a_reading_before_the_latest_speaks_for_itself(client: TestClient) -> None:
    assert "outcome=normal" in client.get("/cars/tern/tickets/new?reading=idle10").text


@pytest.mark.usefixtures("sliding")
def test_the_chart_shows_readings_band_and_work_and_says_the_same_as_a_list(client: TestClient) -> None:
    page = client.get(CHART).text
    drawn = page[page.index('<svg class="drift"') : page.index("</svg>")]
    assert 'class="usual"' in drawn
    assert 'class="mean"' in drawn
    assert drawn.count('class="limit"') == 2
    assert drawn.count('class="dot') + drawn.count('class="cross"') == 12
    assert drawn.count('<path class="work"') == drawn.count('<rect class="work"') == 1
    assert 'class="since"' in drawn
    said = seen(page)
    for words in (
        "It drifts:",
        "The weighted mean:",
        "It judges vacuum",
        "the drift begins",
        "Clutch",
        "Sintered plate on",
    ):
        assert words in said
    assert 'href="/cars/tern/tickets/new?reading=idle12"' in page


def test_a_job_after_the_last_of_few_readings_is_drawn_whole(client: TestClient, enter: Enter, tern: str) -> None:
    _read(enter, (19.5, 19.6, 19.4))
    at = "2024-08-20T10:00:00.000Z"
    enter("job", "clutch", at, car=tern, title="Clutch", opened_at=at)
    drawn = client.get(CHART).text.partition('class="date"')[0]
    (x,) = re.findall(r'<path class="work" d="M([\d.]+) [^"]*h-14z"', drawn)
    assert float(x) + 7 <= WIDTH


def test_a_car_that_runs_right_says_nothing(client: TestClient, enter: Enter, tern: str) -> None:
    _read(enter, (*STEADY, 19.4, 19.6))
    assert "drifts" not in seen(client.get(f"/cars/{tern}").text)
    assert "No drift." in seen(client.get(CHART).text)


def test_better_vacuum_is_no_fault_and_no_ticket_is_offered(client: TestClient, enter: Enter, tern: str) -> None:
    _read(enter, (*STEADY, 19.9, 20.1, 20.2, 20.3))
    page = client.get(f"/cars/{tern}").text
    assert "inHg higher than usual" in seen(page)
    assert "tickets/new?reading" not in page
    assert "No fault reads this way by itself" in seen(client.get(CHART).text)


def test_trims_are_judged_by_their_sums(client: TestClient, enter: Enter, tern: str) -> None:
    _read(enter, (1.0, 1.6, 0.8, 1.6, 0.8, 1.6, 0.8, 1.6), of=TRIM)
    _read(enter, (3.1, 3.1, 3.9, 3.9), 9, healthy=False, of=TRIM)
    page = client.get(f"/cars/{tern}/readings/fuel_trim_idle/drift").text
    assert "The cumulative sum" in seen(page)
    assert "% higher than usual" in seen(page)
    assert page.count('<polyline class="mean"') == 2
    assert "outcome=adding" in client.get(f"/cars/{tern}/tickets/new?reading=fuel_trim_idle12").text


def test_up_a_mountain_nothing_drifts(client: TestClient, enter: Enter, tern: str) -> None:
    """At 1524 m the same manifold pressure shows 5 inHg less (U.S. Standard Atmosphere 1976): no drift."""
    _read(enter, STEADY)
    for n, value in enumerate((14.5, 14.6, 14.4, 14.5), 9):
        at = f"2024-{n:02}-10T10:00:00.000Z"
        enter("reading", f"idle{n}", at, car=tern, value=value, taken_at=at, altitude_m=1524.0, **IDLE)
    assert "drifts" not in seen(client.get(f"/cars/{tern}").text)
    assert "No drift." in seen(client.get(CHART).text)


def test_a_stated_baseline_judges_from_the_first_readings(client: TestClient, enter: Enter, tern: str) -> None:
    enter("baseline", "tern.idle_vacuum.warm", car=tern, centre=19.5, spread=0.4, **IDLE)
    _read(enter, (19.5, 18.9, 18.8, 18.7), healthy=False)
    assert "drifts" in seen(client.get(f"/cars/{tern}").text)
    assert "as you stated it" in seen(client.get(CHART).text)


def test_too_few_healthy_readings_say_how_many_more(client: TestClient, enter: Enter, tern: str) -> None:
    _read(enter, (19.5,), healthy=False)
    assert "Nothing is usual yet" in seen(client.get(CHART).text)
    _read(enter, STEADY[:4], 2)
    assert "4 readings marked healthy: 2 more" in seen(client.get(CHART).text)
    assert "drifts" not in seen(client.get(f"/cars/{tern}").text)


def test_a_reading_of_ones_own_has_a_chart_too(client: TestClient, enter: Enter, tern: str) -> None:
    fluid = {"what": "free", "condition": "any", "unit": "mm", "free_name": "Pad <front>"}
    _read(enter, (9.0, 8.9, 9.0, 8.9, 9.0, 8.9, 5.0), of=fluid)
    history = client.get(f"/cars/{tern}/readings/free?name=Pad+%3Cfront%3E&unit=mm")
    assert "/cars/tern/readings/free/drift?name=Pad+%3Cfront%3E&amp;unit=mm" in history.text
    page = client.get(f"/cars/{tern}/readings/free/drift?name=Pad+%3Cfront%3E&unit=mm").text
    assert "Single readings" in seen(page)
    assert "Pad &lt;front&gt;" in page
    assert "mm lower than usual" in seen(client.get(f"/cars/{tern}").text)


@pytest.mark.parametrize("path", ["none/drift", "idle_vacuum/drift", "idle_vacuum/drift?condition=lift_off"])
@pytest.mark.usefixtures("tern")
def test_where_nothing_was_read_there_is_no_chart(client: TestClient, path: str) -> None:
    assert client.get(f"/cars/tern/readings/{path}").status_code == 404


@pytest.mark.parametrize("figures", [(19.5,), (19.5, 19.5), (0.1,) * 7, (19.5,) * 45, (29.0, 1.0, 29.0)])
def test_any_readings_can_be_drawn(client: TestClient, enter: Enter, tern: str, figures: tuple[float, ...]) -> None:
    for n, value in enumerate(figures):
        at = f"2020-01-{1 + n % 28:02}T{10 + n // 28}:00:00.000Z"
        enter("reading", f"r{n}", at, car=tern, value=value, taken_at=at, healthy=True, **IDLE)
    page = client.get(CHART)
    assert page.status_code == 200
    assert "nan" not in page.text.lower().replace("nance", "")


def test_more_readings_jobs_and_drifts_ask_no_more_questions(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    sliding: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    def asked() -> list[int]:
        counts = []
        for path in (f"/cars/{sliding}", CHART):
            with count_queries(garage) as count:
                assert client.get(path).status_code == 200
            counts.append(count.total)
        return counts

    before = asked()
    _read(enter, (1.0, 1.6, 0.8, 1.6, 0.8, 1.6, 0.8, 1.6, 3.1, 3.1, 3.9, 3.9, 3.9), of=TRIM)
    _read(enter, (18.7, 18.6, 18.5), 13)
    for n in range(8):
        at = f"2024-10-{10 + n}T10:00:00.000Z"
        enter("job", f"job{n}", at, car=sliding, title=f"Job {n}", opened_at=at, closed_at=at)
        enter("touch", f"job{n}.tern.inlet", at, job=f"job{n}", line="tern.inlet", how="reached_past", at=at)
        enter("part_change", f"p{n}", at, job=f"job{n}", position="Clutch", on_part="Plate", at=at)
    assert asked() == before
    with garage.read() as db:
        assert len(drifting(db, sliding)) == 2
