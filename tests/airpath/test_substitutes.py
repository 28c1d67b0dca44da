"""What may stand in for a missing part: never called fitting when a figure is violated, unknown when unknown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.airpath.substitutes import SAME_BORE_MM, Demand, Offer, match, ranked
from app.airpath.words import Material

BORES = st.none() | st.floats(1, 100)
LENGTHS = st.none() | st.floats(10, 2000)
MATERIALS = st.none() | st.sampled_from(Material)
HEATS = st.none() | st.floats(-40, 300)
PRESSURES = st.none() | st.floats(1, 2000)
DEMANDS = st.builds(Demand, BORES, LENGTHS, MATERIALS, HEATS, PRESSURES, st.none() | st.just("oil mist"))
OFFERS = st.builds(Offer, BORES, LENGTHS, MATERIALS, HEATS, PRESSURES)


def _violated(demand: Demand, offer: Offer) -> bool:
    """The same question, asked once more in the plainest way."""
    least = (
        (demand.length_mm, offer.length_mm),
        (demand.stands_c, offer.stands_c),
        (demand.stands_kpa, offer.stands_kpa),
    )
    if any(asked is not None and there is not None and there < asked for asked, there in least):
        return True
    if demand.bore_mm is not None and offer.bore_mm is not None and abs(demand.bore_mm - offer.bore_mm) > SAME_BORE_MM:
        return True
    return demand.material is not None and offer.material not in {None, demand.material}


def _unknown(demand: Demand, offer: Offer) -> bool:
    names = ("bore_mm", "length_mm", "material", "stands_c", "stands_kpa")
    asked = [name for name in names if getattr(demand, name) is not None]
    return demand.words is not None or not asked or any(getattr(offer, name) is None for name in asked)


@given(DEMANDS, OFFERS)
def test_nothing_fits_while_a_demanded_figure_is_violated(demand: Demand, offer: Offer) -> None:
    found = match(demand, offer)
    assert (found.verdict == "unfit") is _violated(demand, offer)


@given(DEMANDS, OFFERS)
def test_what_nobody_knows_is_called_unknown(demand: Demand, offer: Offer) -> None:
    found = match(demand, offer)
    if not _violated(demand, offer):
        assert found.verdict == ("unknown" if _unknown(demand, offer) else "fits")
    if _unknown(demand, offer):
        assert "unknown" in {one.how for one in found.findings}


@given(DEMANDS, OFFERS)
def test_everything_that_is_wrong_is_said_in_words(demand: Demand, offer: Offer) -> None:
    found = match(demand, offer)
    assert all(one.says and " 0 mm" not in f" {one.says}" for one in found.findings if one.how == "wrong")
    assert all((one.off > 0) is (one.how == "wrong") for one in found.findings)


@given(DEMANDS, st.lists(OFFERS, max_size=6))
def test_the_better_fit_comes_first_and_none_is_lost(demand: Demand, offers: list[Offer]) -> None:
    found = ranked(demand, offers)
    assert sorted(place for place, _ in found) == list(range(len(offers)))
    verdicts = [["fits", "unknown", "unfit"].index(one.verdict) for _, one in found]
    assert verdicts == sorted(verdicts)


@given(st.floats(1, 100), st.floats(10, 2000), st.sampled_from(Material))
def test_the_part_itself_fits(bore: float, length: float, material: Material) -> None:
    assert match(Demand(bore, length, material), Offer(bore, length, material)).verdict == "fits"


@pytest.mark.parametrize(
    ("demand", "offer", "says"),
    [
        (Demand(bore_mm=25), Offer(bore_mm=23), "2 mm narrower: will need stretching; the maker's hose first"),
        (Demand(bore_mm=12), Offer(bore_mm=8), "4 mm narrower: too narrow to go on"),
        (Demand(bore_mm=12), Offer(bore_mm=14), "2 mm wider: no clamp makes it tight on this spigot"),
        (Demand(length_mm=180), Offer(length_mm=150), "30 mm shorter: will not reach"),
        (Demand(length_mm=180), Offer(length_mm=240), "60 mm longer: cut it to length"),
        (Demand(stands_c=120), Offer(stands_c=100), "stands 100 °C where 120 °C is asked for"),
        (Demand(stands_kpa=250), Offer(), "what pressure it stands is not known: 250 kPa is asked for"),
        (Demand(material=Material.RUBBER), Offer(material=Material.SILICONE), "silicone where rubber is asked for"),
        (Demand(), Offer(bore_mm=12), "nothing is written down of what is missing"),
    ],
)
def test_each_is_told_as_a_fitter_would(demand: Demand, offer: Offer, says: str) -> None:
    assert [one.says for one in match(demand, offer).findings] == [says]


def test_of_two_that_do_not_fit_the_nearer_one_comes_first() -> None:
    offers = [Offer(bore_mm=16), Offer(bore_mm=11), Offer(), Offer(bore_mm=12.3)]
    assert [place for place, _ in ranked(Demand(bore_mm=12), offers)] == [3, 2, 1, 0]
