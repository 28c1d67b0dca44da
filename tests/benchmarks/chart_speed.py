"""How fast the chart of a log is there: an hour at 50 Hz, twelve channels drawn, in a real Chromium.

    python -m tests.benchmarks.chart_speed [--rounds 5] [--slow 4]

The log is taken in through the page's own form's way, and its arrays are at hand, as they are after that. `figures` is
the answer with the thinned figures alone; `drawn` from asking for the page to the last panel's canvas drawn, the
browser slowed down `--slow` times; `over` going through the whole log for boost over target, once for each target;
`shows` finding the stretches of such a drive and what they show.
"""

import argparse
import io
import resource
import statistics
import tempfile
import time
import uuid
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, sync_playwright

from app.records import traces
from app.records.boost_targets import boost_target
from app.records.entry import Entry
from app.records.garage import Garage
from app.records.log_files import put_file
from app.records.logbook import now
from app.records.overboost import over_in
from app.settings import Settings
from app.traces.measures import shown
from app.traces.shown import chosen
from app.traces.sniff import HEAD, sniff
from app.traces.stretches import stretches
from tests.benchmarks.log_speed import write
from tests.browser.conftest import FLAGS, SCREEN, chromium, let_in, running
from tests.traces.generator import CYCLE, Sensors, drive

_DRAWN = """n => document.querySelectorAll('.panel canvas').length === n
  && document.querySelector('.panel:last-child output').textContent"""


def _enter(garage: Garage, kind: str, record: str, **fields: str | float) -> None:
    taken = garage.take(Entry(str(uuid.uuid4()), kind, record, fields, now(), now(), "bench"))
    assert taken.outcome == "taken", taken


def _make(garage: Garage, path: Path) -> None:
    _enter(garage, "car", "tern", name="Tern", layout="direct-signal")
    _enter(
        garage, "boost_target", "tern.boost", car="tern", curve="[[3000, 5]]", tolerance=1, unit="kPa", basis="gauge"
    )
    file = io.BytesIO(path.read_bytes())
    form = sniff(file.read(HEAD)).form
    file.seek(0)
    put_file(garage.engine, "log", file, now())
    told = traces.told_of(traces.read_file(garage, "log", form, None))
    _enter(garage, "trace", "log", car="tern", name="log.csv", begun_at=now(), columns=form.as_text(), **told)


def _drawn(page: Page, address: str, channels: int) -> float:
    begun = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_function(_DRAWN, arg=channels)
    return time.perf_counter() - begun


def main() -> None:
    """Measure, and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--slow", type=float, default=4)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        write(path, 1)
        garage = Garage.open(Settings(Path(folder) / "data"))
        begun = time.perf_counter()
        _make(garage, path)
        print(f"taken in: {time.perf_counter() - begun:.2f} s")
        with garage.read() as db:
            log, view = traces.trace_row(db, "log"), boost_target(db, "tern")
        assert log is not None
        begun = time.perf_counter()
        over_in(garage, log, view)
        print(f"over: {time.perf_counter() - begun:.2f} s")
        trace, _ = drive(1, sensors=Sensors(rate=50), cycle=[*CYCLE, *CYCLE])
        begun = time.perf_counter()
        found = stretches(trace)
        things = chosen(shown(trace, found, None))
        took = time.perf_counter() - begun
        print(f"shows: {took:.2f} s, of {trace.seconds / 3600:.1f} h {len(found)} stretches, {len(things)} things")
        names = list(traces.trace_of(garage, "log").channels)
        query = "&".join(f"channel={name}" for name in names)
        with running(garage) as at, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
            context = browser.new_context(viewport=SCREEN, device_scale_factor=2, is_mobile=True, has_touch=True)
            let_in(context, garage, at)
            page = context.new_page()
            context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": asked.slow})
            figures: list[float] = []
            size = 0
            for _ in range(asked.rounds):
                begun = time.perf_counter()
                size = len(context.request.get(f"{at}/logs/log/samples?{query}&columns=824").body())
                figures.append(time.perf_counter() - begun)
            drawn = [_drawn(page, f"{at}/logs/log?{query}", len(names)) for _ in range(asked.rounds)]
            most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            print(f"memory, the garage and this with it: {most:.0f} MB")
            print(f"figures: {statistics.median(figures):.3f} s, {size / 1e3:.0f} kB as they are")
            print(
                f"drawn: median {statistics.median(drawn):.2f} s, slowest {np.max(drawn):.2f} s, {len(names)} channels"
            )
            browser.close()
        garage.close()


if __name__ == "__main__":
    main()
