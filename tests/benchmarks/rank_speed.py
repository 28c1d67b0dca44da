"""How fast a phone ranks: a full re-rank with the next step, in a real Chromium slowed down four times.

    python -m tests.benchmarks.rank_speed [--suspects 60] [--slower 4] [--rounds 300]

The car is a starter layout with its lines drawn again and again until there are so many suspects. Each case is what a
ticket's page hands over at a tap: the engine's state, what is lacking, touches, and signs seen, from none to all. The
slowing down stops the page every now and then, so a short run may get off lightly: the mean is what it costs overall,
and the first ones are run before the browser has made the scripts fast.
"""

import argparse
import json
import statistics
from collections.abc import Sequence
from dataclasses import replace
from itertools import cycle, islice

from playwright.sync_api import Page, Route, sync_playwright

from app.airpath.words import Layout, TouchKind
from app.settings import shipped
from app.triage.at_hand import TOOLS
from app.triage.inputs import Candidate, Touched
from app.triage.model import with_standing
from app.triage.plain_numbers import plain_car, plain_case
from app.triage.plain_sheets import not_there
from app.triage.signs import SIGNS, Need
from tests.browser.conftest import FLAGS, chromium
from tests.triage.conftest import car

#: What a person says first, one after the other.
SAID = {
    "boost_level": "slightly_low",
    "idle_vacuum": "slightly_low",
    "idle_needle": "wavering",
    "boost_stability": "steady",
    "vacuum_recovery": "slow",
    "hiss": "at_idle",
}
TIME = """
async ({model, evidences, rounds}) => {
  const {rank} = await import("/static/bay/rank.js");
  const {joined} = await import("/static/bay/model.js");
  const {ofCar, ofCase} = model;
  const whole = joined(ofCar, ofCase);
  const first = performance.now();
  rank(whole, evidences[0]);
  const cold = performance.now() - first;
  return {cold, taken: evidences.map(evidence => {
    const times = [];
    for (let n = 0; n < rounds; n += 1) {
      const from = performance.now();
      const {suspects} = rank(whole, evidence);
      for (const one of suspects.slice(0, 5)) one.why();
      times.push(performance.now() - from);
    }
    return times;
  })};
}
"""


def crowd(candidates: Sequence[Candidate], many: int) -> list[Candidate]:
    """As many candidates, those of a layout again and again, some of them behind a cover."""
    again = islice(cycle(candidates), many)
    covers = (None, "undertray", None, "wheel arch")
    return [
        replace(one, id=f"{one.id}.{n}", place=cover, access_minutes=10.0 if cover else 0.0)
        for n, (one, cover) in enumerate(zip(again, cycle(covers), strict=False))
    ]


def serve(route: Route) -> None:
    path = route.request.url.removeprefix("http://scripts.test/")
    if path.startswith("static/"):
        route.fulfill(path=shipped("static") / path.removeprefix("static/"), content_type="text/javascript")
    else:
        route.fulfill(body="<!doctype html><title>Scripts</title>", content_type="text/html")


def measured(page: Page, many: int, rounds: int) -> dict[str, list[float]]:
    """Milliseconds a re-rank, by how much was seen."""
    facts, on_the_car = car(Layout.STORED_VACUUM)
    candidates = crowd(on_the_car, many - len(with_standing(facts, ())))
    touched = [Touched(one.id, TouchKind.REACHED_PAST, 2.0, 80.0, 5.0) for one in candidates[::9]]
    of_car = json.loads(json.dumps(plain_car(facts, candidates)))
    of_case = json.loads(json.dumps(plain_case(facts, candidates, touched)))
    of_case["lacking"] = not_there(TOOLS - {Need.SMOKE_MACHINE})
    given = {"checks": [], "touches": of_case["touches"], "engine": "warm"}
    healthy = {sign.key: sign.healthy for sign in SIGNS.values()}
    cases: dict[str, dict[str, object]] = {
        f"{n} signs": {"signs": dict(islice(SAID.items(), n)), "codes": None} for n in (0, 3, 6)
    }
    cases["all signs, checks only"] = {"signs": healthy | SAID, "codes": []}
    asked = {
        "model": {"ofCar": of_car, "ofCase": of_case},
        "evidences": [case | given for case in cases.values()],
        "rounds": rounds,
    }
    found = page.evaluate(TIME, asked)
    taken = dict(zip(cases, found["taken"], strict=True))
    return {"the very first": [found["cold"]], "the first 10": found["taken"][0][:10]} | taken


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--suspects", type=int, default=60)
    parser.add_argument("--slower", type=float, default=4)
    parser.add_argument("--rounds", type=int, default=300)
    options = parser.parse_args(arguments)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        page = browser.new_page()
        page.route("**/*", serve)
        page.goto("http://scripts.test/")
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": options.slower})
        print(f"{options.suspects} suspects, slowed down {options.slower:g} times; ms a re-rank with its next step")
        for what, taken in measured(page, options.suspects, options.rounds).items():
            print(f"{what:28} median {statistics.median(taken):6.2f}   mean {statistics.mean(taken):6.2f}")
        browser.close()


if __name__ == "__main__":
    main()
