"""What a person does on a phone, as the entries its forms would keep: every kind of record that a page can enter.

A photo comes with a picture and has tests of its own.
"""

from dataclasses import dataclass, field

from hypothesis import strategies as st

from tests.browser.pocket import told

CAR, LINES, ENDS = "tern", ("coupler", "gauge_hose", "inlet"), ("from", "to")
#: How wrong the phone's clock may be, in minutes; it is set anew in the middle of the work.
CLOCKS = (0, -30, 4, 6, 120)
#: The kinds of which an example makes records of its own; what the car came with stays in the record.
VOIDED = (
    *("job", "touch", "finding", "reading", "ticket", "stopgap", "part_change", "direct_check", "recheck", "drive"),
    *("stage", "part", "need", "fastener", "wrench", "must", "looked_at", "hold_test"),
)

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
    st.tuples(st.just("part_change"), _a(["", "Old clamp"]), _a(["New clamp"])),
    st.tuples(st.just("part_on_component")),
    st.tuples(st.just("direct_check"), _a(LINES), _a(["sound", "fault", "unclear"])),
    st.tuples(st.just("recheck"), _a(LINES), _a(["3", ""]), _a(["100", "62,5"])),
    st.tuples(st.just("recheck_by_days"), _a(["30"])),
    st.tuples(st.just("recheck_done")),
    st.tuples(st.just("drive"), _a(["184 300", "184300,5"]), _a(["1", "0"])),
    st.tuples(st.just("event"), _a(["sprint", "track_day"]), _a(["2026-04-18", "2026-05-02"])),
    st.tuples(st.just("baseline"), _a(["19,5", "18"]), _a(["0,6", "1"])),
    st.tuples(st.just("car_figures"), _a(["1,998", "2", ""]), _a(["4", ""])),
    st.tuples(st.just("boost_target"), _a(["[[3000,1],[5000,1.1]]", "[[4000, 0.9]]"]), _a(["1,4", ""])),
    st.tuples(st.just("overboost"), _a(["Pipe off", ""])),
    st.tuples(st.just("edit_line"), _a(LINES), _a(["4,5", ""]), _a(["original", "replaced"])),
    st.tuples(st.just("retire_line"), _a(LINES), _a(["2026-04-18", ""])),
    st.tuples(st.just("move_line"), _a(LINES)),
    st.tuples(st.just("new_line")),
    st.tuples(st.just("joint"), _a(LINES), _a(ENDS), _a(["5", "5,5", ""])),
    st.tuples(st.just("hard_to_reach"), _a(LINES), _a(ENDS), _a(["yes", "no"])),
    st.tuples(st.just("new_component"), _a(["Catch can", " Second can "])),
    st.tuples(st.just("place"), _a(["10", "20,5"])),
    st.tuples(st.just("car"), _a(["350", ""]), _a(["Garaged", ""])),
    st.tuples(st.just("tool"), _a(["smoke_machine", "code_reader"]), _a(["yes", "no"])),
    st.tuples(st.just("own_suspect"), _a(["usual", "twice"]), _a(["", "Welded"])),
    st.tuples(st.just("overrule"), _a(["steady", "wavering"]), _a(["often", "rarely"]), _a(["A slip", ""])),
    st.tuples(st.just("teaches"), _a(["yes", "no"])),
    st.tuples(st.just("stage"), _a(["1", "2"]), _a(["160,5", ""])),
    st.tuples(st.just("part"), _a(["hose", "other"]), _a(["wanted", "here"]), _a(["38,50", ""])),
    st.tuples(st.just("part_ordered"), _a(["2026-05-03", "2026-05-12"])),
    st.tuples(st.just("part_elsewhere")),
    st.tuples(st.just("part_fitted")),
    st.tuples(st.just("need"), _a(["smoke_machine", "code_reader"])),
    st.tuples(st.just("need_in_words"), _a(["Dry weather", " A free day "])),
    st.tuples(st.just("need_met"), _a(["@now", ""])),
    st.tuples(st.just("fastener"), _a(["110", "110,5", ""])),
    st.tuples(st.just("wrench"), _a(["20", ""]), _a(["100", "200,5"])),
    st.tuples(st.just("must"), _a(["any", "sprint"])),
    st.tuples(st.just("looked_at"), _a(["yes", "no"])),
    st.tuples(st.just("hold_test"), _a(["0,6", "0.55"]), _a(["yes", "no"])),
    st.tuples(st.just("void"), _a(VOIDED), _a(["A slip", ""])),
    st.tuples(st.just("clock"), _a([str(minutes) for minutes in CLOCKS])),
    st.tuples(st.just("send")),
    st.tuples(st.just("look")),
)


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

    def _part_change(self, off: str, on: str) -> list[dict[str, object]]:
        fields = {"job": self.job, "line": f"{CAR}.coupler", "off_part": off, "on_part": on}
        return [told("part_change", self._new("part_change"), **fields, at="@now")]

    def _part_on_component(self) -> list[dict[str, object]]:
        # Of what it was on, and of what came off, nothing is left.
        return self._on("part_change", component=f"{CAR}.throttle", on_part="Throttle, cleaned")

    def _direct_check(self, line: str, result: str) -> list[dict[str, object]]:
        fields = {"ticket": self.ticket, "line": f"{CAR}.{line}", "method": "look_and_feel", "result": result}
        return [told("direct_check", self._new("direct_check"), **fields, done_at="@now")]

    def _recheck(self, line: str, cycles: str, distance: str) -> list[dict[str, object]]:
        limits = {"after_heat_cycles": cycles, "after_distance": distance}
        about = {"car": CAR, "line": f"{CAR}.{line}", "what": "Clamps"}
        return [told("recheck", self._new("recheck"), **about, **limits, since_at="@now")]

    def _recheck_by_days(self, days: str) -> list[dict[str, object]]:
        return self._on("recheck", after_days=days)

    def _recheck_done(self) -> list[dict[str, object]]:
        check = {"car": CAR, "what": "Clamps", "recheck": self._last("recheck"), "good": "yes"}
        done = self._on("recheck", done_at="@now")
        return [told("check", f"{one['record']}.done", **check, done_at="@now") for one in done] + done

    def _drive(self, reads: str, cycles: str) -> list[dict[str, object]]:
        return [told("drive", self._new("drive"), car=CAR, odometer=reads, heat_cycles=cycles, at="@now")]

    def _event(self, kind: str, day: str) -> list[dict[str, object]]:
        return [told("event", self._new("event"), car=CAR, name="Hill climb", kind=kind, on_day=day)]

    def _car_figures(self, litres: str, cylinders: str) -> list[dict[str, object]]:
        fields = {"displacement_l": litres, "cylinders": cylinders, "reservoir_l": "1,5", "void_reason": ""}
        return [told("car_figures", CAR, car=CAR, **fields)]

    def _baseline(self, centre: str, spread: str) -> list[dict[str, object]]:
        usual = {"what": "idle_vacuum", "condition": "warm", "centre": centre, "spread": spread}
        return [told("baseline", f"{CAR}.idle_vacuum.warm", car=CAR, **usual, unit="inHg", basis="vacuum")]

    def _boost_target(self, curve: str, limit: str) -> list[dict[str, object]]:
        target = {"curve": curve, "tolerance": "0,1", "boost_limit": limit, "unit": "bar", "basis": "gauge"}
        return [told("boost_target", f"{CAR}.boost", car=CAR, **target)]

    def _overboost(self, note: str) -> list[dict[str, object]]:
        log = self._new("trace")
        about = told("trace", log, car=CAR, name="drive.csv", begun_at="@now")
        return [about, told("overboost", log, trace=log, looked_at="@now", note=note)]

    def _edit_line(self, line: str, bore: str, state: str) -> list[dict[str, object]]:
        return [told("line", f"{CAR}.{line}", bore_mm=bore, state=state)]

    def _retire_line(self, line: str, day: str) -> list[dict[str, object]]:
        return [told("line", f"{CAR}.{line}", retired_on=day, retired_reason="Capped" if day else "")]

    def _move_line(self, line: str) -> list[dict[str, object]]:
        to = self._last("component") or f"{CAR}.gauge"
        return [told("line", f"{CAR}.{line}", to_component=to, route="")]

    def _new_line(self) -> list[dict[str, object]]:
        line = self._new("line")
        ends = {"from_component": f"{CAR}.manifold", "to_component": f"{CAR}.gauge"}
        joints = [told("joint", f"{line}.{end}", line=line, end=end, hold="push_on") for end in ENDS]
        return [told("line", line, car=CAR, name="New hose", role="gauge", **ends, number="9"), *joints]

    def _joint(self, line: str, end: str, torque: str) -> list[dict[str, object]]:
        figure = {"torque_value": torque, "torque_unit": "N.m", "torque_source": "Clamp maker"} if torque else {}
        return [told("joint", f"{CAR}.{line}.{end}", hold="worm_drive", **(figure or {"torque_value": ""}))]

    def _hard_to_reach(self, line: str, end: str, hard: str) -> list[dict[str, object]]:
        return [told("joint", f"{CAR}.{line}.{end}", hard_to_reach=hard)]

    def _new_component(self, name: str) -> list[dict[str, object]]:
        return [told("component", self._new("component"), car=CAR, kind="catch_can", name=name)]

    def _place(self, x: str) -> list[dict[str, object]]:
        # Its size, said before with its place, is the drawing's own again.
        return self._on("component", x=x, y="40")

    def _car(self, height: str, note: str) -> list[dict[str, object]]:
        return [told("car", CAR, altitude_m=height, note=note)]

    def _tool(self, tool: str, owned: str) -> list[dict[str, object]]:
        return [told("tool", tool, tool=tool, owned=owned, void_reason="")]

    def _own_suspect(self, likely: str, note: str) -> list[dict[str, object]]:
        fields = {"label": "Weld seam", "behaves_like": "charge", "likely": likely, "note": note}
        return [told("own_suspect", self._new("own_suspect"), car=CAR, **fields)]

    def _overrule(self, outcome: str, grade: str, reason: str) -> list[dict[str, object]]:
        fields = {"car": CAR, "kind": "gauge", "sign": "idle_needle", "outcome": outcome, "grade": grade}
        record = f"{CAR}.gauge.idle_needle.{outcome}"
        return [told("overrule", record, **fields, note="It is damped", void_reason=reason)]

    def _teaches(self, teaches: str) -> list[dict[str, object]]:
        return self._on("ticket", teaches=teaches)

    def _stage(self, step: str, power: str) -> list[dict[str, object]]:
        return [told("stage", self._new("stage"), car=CAR, step=step, name="Cooled", power_kw=power)]

    def _part(self, kind: str, state: str, price: str) -> list[dict[str, object]]:
        fields = {"car": CAR, "name": "Coupler 63", "kind": kind, "state": state, "line": f"{CAR}.coupler"}
        paid = {"price": price, "currency": "EUR"} if price else {}
        return [told("part", self._new("part"), **fields, **paid, stage=self._last("stage") or "")]

    def _part_ordered(self, day: str) -> list[dict[str, object]]:
        return self._on("part", state="ordered", ordered_on="2026-04-18", expected_on=day)

    def _part_elsewhere(self) -> list[dict[str, object]]:
        # It is at no line any more.
        return self._on("part", position="Front left damper")

    def _part_fitted(self) -> list[dict[str, object]]:
        return self._on("part", state="fitted", fitted_at="@now", job=self.job, fitted_odometer="184 250")

    def _need(self, tool: str) -> list[dict[str, object]]:
        part = self._last("part")
        return [told("need", f"{part}.{tool}", part=part, tool=tool, void_reason="")] if part else []

    def _need_in_words(self, what: str) -> list[dict[str, object]]:
        part = self._last("part")
        return [told("need", self._new("need"), part=part, what=what)] if part else []

    def _need_met(self, at: str) -> list[dict[str, object]]:
        return self._on("need", met_at=at)

    def _fastener(self, torque: str) -> list[dict[str, object]]:
        figure = {"torque_value": torque, "torque_unit": "N.m", "torque_source": "Maker"} if torque else {}
        return [told("fastener", self._new("fastener"), car=CAR, name="Wheel bolts", of="wheel", **figure)]

    def _wrench(self, smallest: str, largest: str) -> list[dict[str, object]]:
        fields = {"name": "Half inch", "smallest": smallest, "largest": largest, "unit": "N.m"}
        return [told("wrench", self._new("wrench"), **fields)]

    def _must(self, before: str) -> list[dict[str, object]]:
        return [told("must", self._new("must"), car=CAR, what="Belts looked at", before=before)]

    def _looked_at(self, good: str) -> list[dict[str, object]]:
        event, must = self._last("event"), self._last("must")
        fields = {"event": event, "must": must, "good": good}
        return [told("looked_at", f"{event}.{must}", **fields, looked_at="@now")] if event and must else []

    def _hold_test(self, end: str, passed: str) -> list[dict[str, object]]:
        shown = {"medium": "vacuum", "unit": "bar", "start_value": "0,65", "end_value": end, "readings": "20 0,63"}
        limit = {"limit_from": "own", "limit_loss": "0,08", "limit_s": "60", "passed": passed, "hole_mm": "0.02"}
        fields = {"car": CAR, "line": f"{CAR}.gauge_hose", "ticket": self.ticket, "started_at": "2026-04-01T10:00:00Z"}
        return [told("hold_test", self._new("hold_test"), **fields, **shown, **limit, ended_at="2026-04-01T10:01:00Z")]

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
