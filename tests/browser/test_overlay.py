"""What a phone lays over its pages, held against what the server makes of the same entries once they are sent."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import cast

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page

from app.records.garage import Garage
from app.records.known import Known
from app.records.logbook import now
from tests.browser.conftest import SCREEN, let_in
from tests.browser.pocket import AWAY, keep, rest, run, send, told, waiting, weather_before
from tests.torture.agree import KNOW, a_page, differing, everything
from tests.torture.proxy import FAIR, Proxy

CAR, LINES, ENDS = "tern", ("coupler", "gauge_hose", "inlet"), ("from", "to")
#: How wrong the phone's clock may be, in minutes; it is set anew in the middle of the work.
CLOCKS = (0, -30, 4, 6, 120)
_numbers = itertools.count(1)
#: Shrinking an example takes a browser minutes; the acts of one that fails are few enough to read.
_PHASES = (Phase.explicit, Phase.reuse, Phase.generate)

Done = tuple[str, ...]
_a = st.sampled_from
#: What a person does, with what they choose; SEND and LOOK are the phone's own: it had a signal for a moment.
ACTS = st.one_of(
    st.tuples(st.just("touch"), _a(LINES), _a(["reached_past", "disconnected", "replaced"]), _a(["both", "to"])),
    st.tuples(st.just("back_on"), _a(LINES), _a(ENDS)),
    st.tuples(st.just("check"), _a(LINES), _a(ENDS), _a(["yes", "no"]), _a(["", "9,5"])),
    st.tuples(st.just("off_again"), _a(LINES), _a(ENDS)),
    st.tuples(st.just("finding"), _a(["Oil mist", "  A rubbed hose "]), _a(["note", "act"])),
    st.tuples(st.just("settle")),
    st.tuples(st.just("reading"), _a(["19,5", "18.25", " 20 "]), _a(["yes", "no"])),
    st.tuples(st.just("reading_in_bar")),
    st.tuples(st.just("sign"), _a(["steady", "wavering", "flicking"])),
    st.tuples(st.just("sign_by_reading")),
    st.tuples(st.just("clear_sign")),
    st.tuples(st.just("stopgap"), _a(["300", "150,5"])),
    st.tuples(st.just("stopgap_by_days"), _a(["10", "20"])),
    st.tuples(st.just("end_stopgap")),
    st.tuples(st.just("found"), _a(LINES)),
    st.tuples(st.just("found_part")),
    st.tuples(st.just("proved"), _a(["reading", "reason"])),
    st.tuples(st.just("reopen_ticket")),
    st.tuples(st.just("rename"), _a(["Clutch", "Clutch and flywheel", " Clutch "])),
    st.tuples(st.just("odometer"), _a(["184 210", "184210,5", ""])),
    st.tuples(st.just("close")),
    st.tuples(st.just("reopen")),
    st.tuples(st.just("void"), _a(["job", "touch", "finding", "reading", "ticket", "stopgap"]), _a(["A slip", ""])),
    st.tuples(st.just("clock"), _a([str(minutes) for minutes in CLOCKS])),
    st.tuples(st.just("send")),
    st.tuples(st.just("look")),
)

WITHDRAW_ALL = """const { waiting, withdraw } = await bay("outbox.js");
await withdraw((await waiting()).map((one) => one.id));"""


@dataclass
class Work:
    """One job and one ticket, and which of their records there are yet."""

    number: int
    made: dict[str, set[str]] = field(default_factory=dict)

    def entries(self, done: Done) -> list[dict[str, object]]:
        """What the form for it would keep; nothing where there is nothing to do it to."""
        name, *chosen = done
        whole: list[dict[str, object]] = getattr(self, f"_{name}")(*chosen)
        for one in whole:
            self.made.setdefault(str(one["kind"]), set()).add(str(one["record"]))
        return whole

    def begin(self) -> list[dict[str, object]]:
        self.made = {"job": {self.job}, "ticket": {self.ticket}}
        return [
            told("job", self.job, car=CAR, title="Boost leak", opened_at="@now"),
            told("ticket", self.ticket, car=CAR, what="Boost falls away", noticed_at="@now"),
        ]

    @property
    def job(self) -> str:
        return f"job{self.number}"

    @property
    def ticket(self) -> str:
        return f"ticket{self.number}"

    @property
    def refs(self) -> list[str]:
        return sorted(f"{kind}/{record}" for kind, records in self.made.items() for record in records)

    def _new(self, kind: str) -> str:
        return f"{kind}.{self.number}.{len(self.made.get(kind, ()))}"

    def _last(self, kind: str) -> str | None:
        return max(self.made.get(kind, ()), default=None)

    def _on(self, kind_: str, **fields: object) -> list[dict[str, object]]:
        record = self._last(kind_)
        return [told(kind_, record, **fields)] if record else []

    def _touch(self, line: str, how: str, ends: str) -> list[dict[str, object]]:
        fields = {"job": self.job, "line": f"{CAR}.{line}", "how": how, "ends": ends}
        return [told("touch", f"{self.job}.{CAR}.{line}", **fields, at="@now")]

    def _back_on(self, line: str, end: str) -> list[dict[str, object]]:
        joint = f"{CAR}.{line}.{end}"
        return [told("loose_end", f"{self.job}.{joint}", job=self.job, joint=joint, back_on_at="@now")]

    def _off_again(self, line: str, end: str) -> list[dict[str, object]]:
        joint = f"{CAR}.{line}.{end}"
        return [told("loose_end", f"{self.job}.{joint}", job=self.job, joint=joint, back_on_at="")]

    def _check(self, line: str, end: str, good: str, torque: str) -> list[dict[str, object]]:
        joint = f"{CAR}.{line}.{end}"
        fields = {"car": CAR, "job": self.job, "joint": joint, "good": good, "done_at": "@now"}
        tightened = {"torque_value": torque, "torque_unit": "N.m"} if torque else {}
        return [told("check", f"{self.job}.{joint}", **fields, **tightened)]

    def _finding(self, what: str, weight: str) -> list[dict[str, object]]:
        fields = {"car": CAR, "job": self.job, "what": what, "weight": weight}
        return [told("finding", self._new("finding"), **fields, seen_at="@now")]

    def _settle(self) -> list[dict[str, object]]:
        return self._on("finding", settled_at="@now", settled_how="Wiped and watched")

    def _reading(self, value: str, healthy: str) -> list[dict[str, object]]:
        read = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum", "value": value}
        weather = {"barometer_value": "1013", "barometer_unit": "mbar"}
        fields = {"car": CAR, "healthy": healthy, "taken_at": "@now"}
        return [told("reading", self._new("reading"), **read, **weather, **fields)]

    def _reading_in_bar(self) -> list[dict[str, object]]:
        # It says nothing of a barometer, so the reading has none any more.
        read = {"what": "idle_vacuum", "condition": "warm", "unit": "bar", "basis": "vacuum", "value": "0,6"}
        return self._on("reading", **read)

    def _sign(self, outcome: str) -> list[dict[str, object]]:
        fields = {"ticket": self.ticket, "sign": "idle_needle", "outcome": outcome}
        return [told("sign", f"{self.ticket}.idle_needle", **fields, noted_at="@now")]

    def _sign_by_reading(self) -> list[dict[str, object]]:
        fields = {"ticket": self.ticket, "sign": "idle_vacuum", "reading": self._last("reading")}
        if fields["reading"] is None:
            return []
        return [told("sign", f"{self.ticket}.idle_vacuum", **fields, noted_at="@now")]

    def _clear_sign(self) -> list[dict[str, object]]:
        return self._on("sign", outcome="", reading="")

    def _stopgap(self, limit: str) -> list[dict[str, object]]:
        fields = {"car": CAR, "line": f"{CAR}.inlet", "ticket": self.ticket, "used": "Tape", "limit_distance": limit}
        return [told("stopgap", self._new("stopgap"), **fields, fitted_at="@now")]

    def _stopgap_by_days(self, days: str) -> list[dict[str, object]]:
        return self._on("stopgap", limit_days=days)

    def _end_stopgap(self) -> list[dict[str, object]]:
        return self._on("stopgap", ended_at="@now", ended_how="New hose")

    def _found(self, line: str) -> list[dict[str, object]]:
        return self._on("ticket", found_at="@now", found_line=f"{CAR}.{line}", found_wrong="Split")

    def _found_part(self) -> list[dict[str, object]]:
        return self._on("ticket", found_at="@now", found_component=f"{CAR}.throttle")

    def _proved(self, by: str) -> list[dict[str, object]]:
        reading = self._last("reading")
        if by == "reading" and reading:
            return self._on("ticket", proved_at="@now", proof_reading=reading)
        return self._on("ticket", proved_at="@now", proof_reason="Drove well")

    def _reopen_ticket(self) -> list[dict[str, object]]:
        return self._on("ticket", reopened_at="@now", reopened_reason="It is back")

    def _rename(self, title: str) -> list[dict[str, object]]:
        return self._on("job", title=title)

    def _odometer(self, reads: str) -> list[dict[str, object]]:
        return self._on("job", odometer=reads)

    def _close(self) -> list[dict[str, object]]:
        return self._on("job", closed_at="@now", carried_reason="One clamp to come")

    def _reopen(self) -> list[dict[str, object]]:
        return self._on("job", closed_at="", carried_reason="")

    def _void(self, kind: str, reason: str) -> list[dict[str, object]]:
        return self._on(kind, void_reason=reason)


@pytest.fixture
def held(browser: Browser, garage: Garage, address: str, tern: str) -> Iterator[tuple[Page, Proxy]]:
    """One page for every example: its own server part is put into it anew each time."""
    context = browser.new_context(viewport=SCREEN, service_workers="block")
    let_in(context, garage, address)
    with weather_before(address) as (proxy, through):
        yield rest(context, through), proxy
        context.close()


def as_server(garage: Garage) -> Known:
    with garage.read() as db:
        return everything(db)


def as_phone(page: Page, written: Known, as_of: str, refs: list[str]) -> Known:
    shown = run(page, f"return await ({KNOW})(given);", a_page(written, as_of, refs))
    return cast(Known, shown)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), phases=_PHASES)
@given(acts=st.lists(ACTS, min_size=5, max_size=30))
def test_what_waits_shows_as_it_will_once_it_is_sent(
    held: tuple[Page, Proxy], garage: Garage, acts: list[Done]
) -> None:
    page, proxy = held
    proxy.weather = AWAY
    page.clock.set_system_time(datetime.now().astimezone())
    run(page, WITHDRAW_ALL)  # of an example that failed
    work = Work(next(_numbers))
    as_of, written = now(), as_server(garage)
    keep(page, *work.begin())
    for done in acts:
        if done[0] == "clock":
            page.clock.set_system_time(datetime.now().astimezone() + timedelta(minutes=int(done[1])))
        elif done[0] == "send":
            _send(page, proxy)
        elif done[0] == "look":
            as_of, written = now(), as_server(garage)
        elif entries := work.entries(done):
            keep(page, *entries)
    offline = as_phone(page, written, as_of, work.refs)
    _send(page, proxy)
    assert [(one["kind"], one["fields"], one["reasons"]) for one in waiting(page)] == []
    every = as_server(garage)
    there = {ref: every[ref] for ref in work.refs}
    assert _told_apart(offline, there) == {}
    # The page the phone kept from before still shows it, and so does a page of now.
    assert _told_apart(as_phone(page, written, as_of, work.refs), there) == {}
    assert _told_apart(as_phone(page, every, now(), work.refs), there) == {}


def _send(page: Page, proxy: Proxy) -> None:
    proxy.weather = FAIR
    send(page)
    proxy.weather = AWAY


def _told_apart(shown: Known, there: Known) -> dict[str, object]:
    return {ref: (shown[ref], there[ref]) for ref in differing(shown, there)}
