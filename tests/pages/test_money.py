"""What the parts cost."""

from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.money import money_of
from tests.conftest import Enter
from tests.seen import seen


def test_money_is_told_by_stage_job_and_year_and_never_added_across_currencies(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("stage", "s1", car=tern, step=1, name="Cooled")
    enter("job", "j", car=tern, title="Core in", opened_at="2024-03-01T08:00:00.000Z")
    part = {"car": tern, "currency": "EUR"}
    enter("part", "a", name="Core", state="fitted", price=300, stage="s1", job="j", ordered_on="2023-12-30", **part)
    enter("part", "b", name="Pipe", state="here", price=45.5, stage="s1", arrived_on="2024-02-01", **part)
    enter("part", "c", name="Pump", state="wanted", price=80, stage="s1", **part)
    enter("part", "d", name="Loom", state="gone", price=20, **(part | {"currency": "GBP"}))
    enter("part", "e", name="Bolt", state="here", car=tern)
    with garage.read() as db:
        found = money_of(db, tern)
    assert [(one.currency, one.spent, one.wanted) for one in found.all] == [("EUR", 345.5, 80.0), ("GBP", 20.0, 0.0)]
    told = {
        name: {line.name: [(one.currency, one.spent, one.wanted) for one in line.sums] for line in lines}
        for name, lines in (("stage", found.by_stage), ("job", found.by_job), ("year", found.by_year))
    }
    assert told == {
        "stage": {"1. Cooled": [("EUR", 345.5, 80.0)], None: [("GBP", 20.0, 0.0)]},
        "job": {"Core in": [("EUR", 300.0, 0.0)], None: [("EUR", 45.5, 0.0), ("GBP", 20.0, 0.0)]},
        "year": {"2024": [("EUR", 45.5, 0.0)], "2023": [("EUR", 300.0, 0.0)], None: [("GBP", 20.0, 0.0)]},
    }
    assert found.unpriced == 1
    text = seen(client.get("/cars/tern/money").text)
    for said in (
        "345.50 EUR",
        "20.00 GBP",
        "and 80.00 EUR wanted",
        "of 1 part no price is known",
        "Nobody wrote down when",
    ):
        assert said in text


def test_a_car_without_prices_says_so(client: TestClient, tern: str) -> None:
    assert "No price is written down yet." in seen(client.get("/cars/tern/money").text)
