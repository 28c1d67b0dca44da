"""Plans at random, and what is said of them by the plainest means, to hold the program's to."""

from hypothesis import strategies as st

from app.plan.items import Item, Need, NeedKind, Plan, Stage

STATES = ("wanted", "ordered", "here", "fitted", "shelf", "gone")
STAGES = tuple(Stage(f"s{step}", step, f"Stage {step}") for step in (1, 2, 3))


@st.composite
def plans(draw: st.DrawFn, *, acyclic: bool = False, most: int = 9) -> Plan:
    """Up to `most` items with needs of every kind; some on items that nobody knows."""
    names = [f"p{number}" for number in range(draw(st.integers(0, most)))]
    items = {}
    for place, name in enumerate(names):
        others = names[:place] if acyclic else [one for one in names if one != name]
        needs = [_need(draw, name, number, [*others, "unknown"]) for number in range(draw(st.integers(0, 3)))]
        stage = draw(st.sampled_from([None, *(one.id for one in STAGES)]))
        state = draw(st.sampled_from(STATES))
        items[name] = Item(name, name.upper(), state, stage, draw(st.booleans()), needs=needs)  # type: ignore[arg-type]
    order = draw(st.permutations(names))
    return Plan(STAGES, {name: items[name] for name in order})


def _need(draw: st.DrawFn, name: str, number: int, others: list[str]) -> Need:
    kind = draw(st.sampled_from(NeedKind))
    record = f"{name}.{number}"
    if kind in {NeedKind.FITTED, NeedKind.HERE}:
        of = draw(st.sampled_from(others))
        return Need(record, kind, of.upper(), of)
    return Need(record, kind, "a thing", met=draw(st.booleans()))
