"""Crimp set-ups: tool, die and lots, their first-offs, and the crimps measured at the last."""

import secrets
import sqlite3

import pytest
from sqlalchemy import select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from tests.stages import launch as launches
from tests.stages.launch import Launch
from tests.stages.passing import (
    build,
    gauge,
    measure_crimps,
    measure_last,
    read_everything,
    set_up_crimps,
    tick_everything,
)
from webapp.records.bench import CrimpSetup
from webapp.records.testing import Reading
from webapp.stages import catalogue, stage_line
from webapp.stages.building import (
    bench,
    crimp_records,
    crimp_setups,
    crimp_standing,
    gate,
    taking,
    units,
)
from webapp.stages.building.crimp_groups import group_key, group_of_key
from webapp.stages.building.crimp_records import RefusedSample, SetUpValues
from webapp.stages.building.crimp_standing import Group
from webapp.stages.catalogue import CatalogPart
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.testing import gate as test_gate
from webapp.stages.testing import readings, standing
from webapp.stages.testing.first_off import FIRST, LAST, crimp_limits
from webapp.stages.testing.readings import Measured

TAB = "t-tab|2.5"
TAB_CRIMPS = ("l1:to:crimp", "l2:from:crimp")


@pytest.fixture
def launch(session: Session) -> Launch:
    return launches.signed_off(session)


@pytest.fixture
def unit_ids(session: Session, launch: Launch) -> list[int]:
    return units.start(session, launch.loom_id, launch.person_id, "full")


@pytest.fixture
def unit_id(unit_ids: list[int]) -> int:
    return unit_ids[0]


def begin(
    session: Session, launch: Launch, unit_id: int, group: str = TAB, tool: str = "tool 3",
    key: str = "", **more: str,
) -> int:  # fmt: skip
    without_last = more.pop("without_last", "")
    return crimp_records.begin(
        session, unit_id, group, SetUpValues(tool, **more), key=key or secrets.token_hex(16),
        person_id=launch.person_id, without_last=without_last,
    )  # fmt: skip


def stands(session: Session, unit_id: int, group: str = TAB) -> Group:
    return crimp_records.group_of(session, units.get(session, unit_id), group)


def state(session: Session, unit_id: int, item_uid: str) -> standing.ItemState:
    unit = units.get(session, unit_id)
    return standing.one_state(session, unit, standing.plan_of(session, unit), item_uid)


def tick(
    session: Session, launch: Launch, unit_id: int, step_uid: str, said: str = "done",
    note: str = "out of order",
) -> bench.Answer:  # fmt: skip
    entry = bench.Entry(secrets.token_hex(16), step_uid, said, launch.person_id, note)
    (answer,) = taking.append(session, unit_id, [entry])
    return answer


def test_groups_are_the_terminals_on_conductors_that_the_unit_crimps(
    session: Session, unit_id: int
) -> None:
    found = crimp_standing.groups(session, units.get(session, unit_id))
    tabs = next(group for group in found if group.key == TAB)
    assert tabs.name == "Tab receptacle 6.3 on 2.5 mm²"
    assert tabs.counts(unit_id) == (0, 2)
    assert tabs.counts() == (0, 4)
    keys = [group.key for group in found]
    assert len(keys) == len(set(keys))
    # Solder cups and splices are not crimped by a terminal.
    assert not [key for key in keys if key.startswith("t-cup")]
    plan = units.plan_of(session, units.get(session, unit_id))
    assert {step.setup for step in plan if step.setup} == set(keys)
    assert {step.operation for step in plan if step.setup} == {"crimp"}
    short = units.plan_at(session, units.get(session, unit_id).revision_id, "short")
    assert {step.setup for step in short if step.setup} == set(keys)
    assert {step.operation for step in short if step.setup} == {"make"}


def test_a_key_names_terminal_and_conductor() -> None:
    assert group_key("tab-6.3", 2.5) == "tab-6.3|2.5"
    assert group_of_key("odd|name|0.75") == ("odd|name", 0.75)
    with pytest.raises(ValueError, match="names no terminal"):
        group_of_key("tab-6.3")


def test_a_group_is_ready_once_three_heights_and_three_pulls_have_passed(
    session: Session, launch: Launch, unit_id: int
) -> None:
    assert crimp_setups.ready_groups(session, launch.loom_id) == set()
    begin(session, launch, unit_id, die="B", wire_lot="W-12", terminal_lot="T-7")
    setup = crimp_setups.of_loom(session, launch.loom_id)[TAB]
    assert (setup.named, setup.lots) == ("tool 3, die B", "wire lot W-12, terminal lot T-7")
    assert (setup.person, setup.ready) == ("Ada Marr", False)
    assert setup.words == "tool 3, die B: 6 of 6 first-offs to take"
    heights = [Measured(f"first-off:t-tab:2.5:height:{n}", 1.55) for n in (1, 2, 3)]
    meter = gauge(session)
    crimp_records.measure(
        session, unit_id, TAB, setup.id, FIRST, heights, instruments={"height": meter},
        key=secrets.token_hex(16), person_id=launch.person_id,
    )  # fmt: skip
    partly = crimp_setups.of_loom(session, launch.loom_id)[TAB]
    assert (partly.first.passed, partly.first.open, partly.ready) == (3, 3, False)
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    assert crimp_setups.ready_groups(session, launch.loom_id) == {TAB}
    found = crimp_setups.of_loom(session, launch.loom_id)
    assert crimp_setups.words_for(found, [TAB, "t-ring|2.5"]) == {
        TAB: {"ready": True, "words": "tool 3, die B"},
        "t-ring|2.5": {"ready": False, "words": "no set-up yet"},
    }


def test_a_crimp_waits_for_its_set_up(session: Session, launch: Launch, unit_id: int) -> None:
    assert tick(session, launch, unit_id, "l1.0:cut").saved
    for operation in ("thread", "strip"):
        assert tick(session, launch, unit_id, f"l1:to:{operation}", note="").saved
    refused = tick(session, launch, unit_id, "l1:to:crimp", note="")
    assert not refused.saved
    assert "First a crimp set-up for Tab receptacle 6.3 on 2.5 mm²" in refused.sentence
    begin(session, launch, unit_id)
    measure_crimps(session, launch, unit_id, TAB, FIRST, height_2=1.61)
    assert not tick(session, launch, unit_id, "l1:to:crimp", note="").saved
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    assert tick(session, launch, unit_id, "l1:to:crimp", note="").saved


def test_a_value_outside_its_limit_is_kept_as_failed(
    session: Session, launch: Launch, unit_id: int
) -> None:
    begin(session, launch, unit_id)
    taken = measure_crimps(session, launch, unit_id, TAB, FIRST, height_2=1.61, pull_3=10)
    assert (taken.count, taken.failed) == (6, 2)
    setup = crimp_setups.of_loom(session, launch.loom_id)[TAB]
    assert (setup.first.passed, setup.first.failed, setup.ready) == (4, 2, False)
    assert setup.words == "tool 3: a first-off failed"
    assert state(session, unit_id, "first-off:t-tab:2.5:height:2").word == "failed"
    kept = session.scalars(select(Reading).where(Reading.result == "fail")).all()
    assert {reading.crimp_setup_id for reading in kept} == {setup.id}


def test_the_same_key_is_the_same_set_up_and_the_same_readings(
    session: Session, launch: Launch, unit_id: int
) -> None:
    key = "k" * 32
    first = begin(session, launch, unit_id, key=key)
    assert begin(session, launch, unit_id, key=key) == first
    with pytest.raises(Refused, match="Another set-up has the same key"):
        begin(session, launch, unit_id, "t-ring|2.5", key=key)
    with pytest.raises(Refused, match="no key of its own"):
        begin(session, launch, unit_id, key="short")
    assert len(session.scalars(select(CrimpSetup)).all()) == 1
    meter = gauge(session)
    for _ in range(2):
        taken = crimp_records.measure(
            session, unit_id, TAB, first, FIRST, [Measured("first-off:t-tab:2.5:height:1", 1.7)],
            instruments={"height": meter}, key="m" * 32, person_id=launch.person_id,
        )  # fmt: skip
        assert (taken.count, taken.failed) == (1, 1)
    assert len(session.scalars(select(Reading)).all()) == 1


def test_what_cannot_be_is_refused(session: Session, launch: Launch, unit_id: int) -> None:
    with pytest.raises(Refused) as no_tool:
        begin(session, launch, unit_id, tool="  ")
    assert no_tool.value.field == "tool"
    with pytest.raises(Refused) as too_long:
        begin(session, launch, unit_id, wire_lot="x" * 81)
    assert too_long.value.field == "wire_lot"
    for group in ("t-cup|1.5", "t-tab|16", "nonsense"):
        with pytest.raises(NotThere):
            begin(session, launch, unit_id, group)
    setup = begin(session, launch, unit_id)
    meter = gauge(session)

    def measure(measured: Measured, when: str = FIRST, height: int | None = meter) -> None:
        crimp_records.measure(
            session, unit_id, TAB, setup, when, [measured], instruments={"height": height},
            key=secrets.token_hex(16), person_id=launch.person_id,
        )  # fmt: skip

    uid = "first-off:t-tab:2.5:height:1"
    with pytest.raises(RefusedSample) as no_value:
        measure(Measured(uid))
    assert (no_value.value.item_uid, no_value.value.field) == (uid, "value")
    with pytest.raises(RefusedSample) as no_gauge:
        measure(Measured(uid, 1.55), height=None)
    assert no_gauge.value.field == "instrument"
    with pytest.raises(RefusedSample):
        measure(Measured("first-off:t-ring:2.5:height:1", 1.55))
    with pytest.raises(Refused, match="Nothing is crimped with this set-up yet"):
        measure(Measured("last-off:t-tab:2.5:height:1", 1.55), LAST)
    with pytest.raises(Refused, match="entered with their set-up"):
        readings.record(
            session, unit_id, Measured(uid, 1.55), key="n" * 32, person_id=launch.person_id,
            instrument_id=meter,
        )  # fmt: skip
    assert session.scalars(select(Reading)).all() == []


def test_set_ups_are_never_changed(session: Session, launch: Launch, unit_id: int) -> None:
    begin(session, launch, unit_id)
    for statement in ("UPDATE crimp_setup SET tool = 'x'", "DELETE FROM crimp_setup"):
        with pytest.raises((DBAPIError, sqlite3.DatabaseError), match="append-only"):
            session.connection().exec_driver_sql(statement)


def test_another_tool_asks_for_its_own_first_offs(
    session: Session, launch: Launch, unit_id: int
) -> None:
    begin(session, launch, unit_id)
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    item = "first-off:t-tab:2.5:height:1"
    assert state(session, unit_id, item).word == "passed"
    # Nothing is crimped with the first one, so nothing is to be measured at its last.
    begin(session, launch, unit_id, tool="tool 4")
    assert crimp_setups.ready_groups(session, launch.loom_id) == set()
    assert state(session, unit_id, item).word == "open"
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    assert state(session, unit_id, item).word == "passed"


def test_first_offs_serve_every_unit_of_the_batch(
    session: Session, launch: Launch, unit_ids: list[int]
) -> None:
    set_up_crimps(session, launch, unit_ids[0])
    assert state(session, unit_ids[1], "first-off:t-tab:2.5:pull:3").word == "passed"


def test_a_used_set_up_is_measured_before_it_is_replaced_or_says_why_not(
    session: Session, launch: Launch, unit_id: int
) -> None:
    begin(session, launch, unit_id)
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    assert tick(session, launch, unit_id, TAB_CRIMPS[0]).saved
    with pytest.raises(Refused) as refused:
        begin(session, launch, unit_id, tool="tool 4")
    assert refused.value.field == "without_last"
    assert refused.value.sentence.startswith("1 crimp was made with tool 3")
    measure_crimps(session, launch, unit_id, TAB, LAST)
    begin(session, launch, unit_id, tool="tool 4")
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    assert tick(session, launch, unit_id, TAB_CRIMPS[1]).saved
    begin(session, launch, unit_id, tool="tool 5", without_last="the die broke")
    found = stands(session, unit_id)
    assert [(used.setup.tool, used.count, used.word) for used in found.used] == [
        ("tool 3", 1, "passed"),
        ("tool 4", 1, "waived"),
        ("tool 5", 0, "unused"),
    ]
    waiver = found.used[1].setup.waiver
    assert waiver is not None
    assert (waiver.reason, waiver.person) == ("the die broke", "Ada Marr")


def test_the_unit_keeps_the_first_offs_of_the_set_up_that_it_was_crimped_with(
    session: Session, launch: Launch, unit_ids: list[int]
) -> None:
    """A tool set up anew for a later unit asks nothing of one that is crimped."""
    first, second = unit_ids
    begin(session, launch, first)
    measure_crimps(session, launch, first, TAB, FIRST)
    for step_uid in TAB_CRIMPS:
        assert tick(session, launch, first, step_uid).saved
    measure_crimps(session, launch, first, TAB, LAST)
    begin(session, launch, second, tool="tool 4")
    item = "first-off:t-tab:2.5:height:1"
    assert state(session, first, item).word == "passed"
    assert state(session, second, item).word == "open"
    # A crimp made again is made with the tool that is set up now.
    assert tick(session, launch, first, TAB_CRIMPS[0], "rework", "tug failed").saved
    assert state(session, first, item).word == "open"


def test_only_the_last_unit_of_a_batch_waits_for_the_last_crimps(
    session: Session, launch: Launch, unit_ids: list[int]
) -> None:
    first, second = unit_ids
    tick_everything(session, launch, first)
    gate.pass_to_test(session, first, launch.person_id)
    tick_everything(session, launch, second)
    with pytest.raises(Refused, match="measure three heights and three pulls at the last"):
        gate.pass_to_test(session, second, launch.person_id)
    named = {gap.group for gap in gate.crimp_gaps(session, units.get(session, second))}
    groups = crimp_standing.groups(session, units.get(session, second))
    assert named == {group.key for group in groups}
    measure_last(session, launch, second)
    gate.pass_to_test(session, second, launch.person_id)
    assert stage_line.stage_of_unit(session, second) == "test"


def test_what_is_crimped_after_the_last_measurement_asks_for_it_again(
    session: Session, launch: Launch, unit_id: int
) -> None:
    begin(session, launch, unit_id)
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    tick(session, launch, unit_id, TAB_CRIMPS[0])
    measure_crimps(session, launch, unit_id, TAB, LAST)
    assert stands(session, unit_id).used[0].word == "passed"
    tick(session, launch, unit_id, TAB_CRIMPS[1])
    assert stands(session, unit_id).used[0].word == "open"


def test_crimps_that_fail_at_the_last_name_what_to_look_at(
    session: Session, launch: Launch, unit_ids: list[int]
) -> None:
    first, second = unit_ids
    tick_everything(session, launch, first)
    measure_last(session, launch, first)
    gate.pass_to_test(session, first, launch.person_id)
    read_everything(session, launch, first, gauge(session))
    tick_everything(session, launch, second)
    measure_last(session, launch, second)
    tick(session, launch, second, TAB_CRIMPS[0], "rework", "wrong way")
    tick(session, launch, second, TAB_CRIMPS[0])
    measure_crimps(session, launch, second, TAB, LAST, height_1=1.7)
    assert not stands(session, second).ready
    (gap,) = gate.crimp_gaps(session, units.get(session, second))
    assert gap.group == TAB
    assert "unit 26-001-01 (Wire 1, right end, Wire 2A, left end)" in gap.sentence
    assert "unit 26-001-02 (Wire 1, right end, Wire 2A, left end)" in gap.sentence
    # The unit that went ahead is held as well.
    with pytest.raises(Refused, match="measured at the last of tool 3"):
        test_gate.pass_to_done(session, first, launch.person_id)
    # Another set-up does not make the crimps of this one good.
    begin(session, launch, second, tool="tool 4")
    assert gate.crimp_gaps(session, units.get(session, second))
    failed = stands(session, second).used[0]
    crimp_records.waive(
        session, second, TAB, failed.setup.id, "all four heights measured: 1.52 to 1.58",
        key=secrets.token_hex(16), person_id=launch.person_id,
    )  # fmt: skip
    assert gate.crimp_gaps(session, units.get(session, second)) == []
    test_gate.pass_to_done(session, first, launch.person_id)


def test_a_last_crimp_that_failed_passes_only_with_what_was_put_right(
    session: Session, launch: Launch, unit_id: int
) -> None:
    setup = begin(session, launch, unit_id)
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    tick(session, launch, unit_id, TAB_CRIMPS[0])
    measure_crimps(session, launch, unit_id, TAB, LAST, pull_1=3)
    item, meter = "last-off:t-tab:2.5:pull:1", gauge(session)

    def again(note: str) -> None:
        crimp_records.measure(
            session, unit_id, TAB, setup, LAST, [Measured(item, 400, note=note)],
            instruments={"pull": meter}, key=secrets.token_hex(16), person_id=launch.person_id,
        )  # fmt: skip

    with pytest.raises(RefusedSample, match="say what was put right"):
        again("")
    again("the sample slipped in the clamp")
    assert stands(session, unit_id).used[0].word == "passed"
    with pytest.raises(Refused, match="Nothing is left to measure"):
        crimp_records.waive(
            session, unit_id, TAB, setup, "why", key=secrets.token_hex(16),
            person_id=launch.person_id,
        )  # fmt: skip


def test_a_tick_with_its_reason_overrides_and_counts_for_the_set_up_that_follows(
    session: Session, launch: Launch, unit_id: int
) -> None:
    for step_uid in TAB_CRIMPS:
        assert tick(session, launch, unit_id, step_uid, note="tool on loan, measured there").saved
    begin(session, launch, unit_id)
    measure_crimps(session, launch, unit_id, TAB, FIRST)
    assert stands(session, unit_id).used[0].word == "unused"
    assert state(session, unit_id, "first-off:t-tab:2.5:height:1").word == "passed"


def test_readings_of_before_there_were_set_ups_still_count(
    session: Session, launch: Launch, unit_id: int
) -> None:
    session.add(
        Reading(
            key="old" * 8, unit_id=unit_id, revision_id=launch.revision_id,
            item_uid="first-off:t-tab:2.5:height:1", kind="crimp height",
            what="Tab receptacle 6.3 on 2.5 mm²: height 1 of 3", value=1.55, value_unit="mm",
            result="pass", person_id=launch.person_id,
        )
    )  # fmt: skip
    session.flush()
    assert state(session, unit_id, "first-off:t-tab:2.5:height:1").word == "passed"
    assert crimp_setups.ready_groups(session, launch.loom_id) == set()
    begin(session, launch, unit_id)
    assert state(session, unit_id, "first-off:t-tab:2.5:height:1").word == "open"


def test_a_unit_that_is_done_takes_no_set_up(
    session: Session, launch: Launch, unit_id: int
) -> None:
    build(session, launch, unit_id)
    read_everything(session, launch, unit_id, gauge(session))
    test_gate.pass_to_done(session, unit_id, launch.person_id)
    with pytest.raises(Refused, match="send it back to test first"):
        begin(session, launch, unit_id, tool="tool 9")


def test_the_makers_figures_outrank_the_table() -> None:
    def terminal(**facts: object) -> CatalogPart:
        return CatalogPart("t", "terminal", "Tab", {"crimped": 1, **facts}, confirmed=True)

    maker = crimp_limits(terminal(crimp_height_mm=1.55, pull_n=200), 2.5)
    assert (maker.height.low, maker.height.high) == (1.5, 1.6)
    assert (maker.pull.low, maker.pull.source) == (200, "maker's force 200 N")
    table = crimp_limits(terminal(), 2.5)
    assert not table.height.source.startswith("maker's height")
    assert (table.height.low, table.height.high) == (None, None)
    # UL 486A, AWG 14: 50 lbf; the table is checked in tests/published.
    assert table.pull.low == pytest.approx(50 * 4.4482216)
    assert table.pull.source.startswith("UL 486A")
    assert table.pull.confirmed
    # AWG 3/0 is known from memory only.
    assert not crimp_limits(terminal(), 85.0).pull.confirmed


def test_every_group_of_the_catalogue_has_words_for_its_limits(
    session: Session, launch: Launch, unit_id: int
) -> None:
    parts = catalogue.read(session).parts
    for group in crimp_standing.groups(session, units.get(session, unit_id)):
        terminal_uid, csa_mm2 = group_of_key(group.key)
        limits = crimp_limits(parts[terminal_uid], csa_mm2)
        assert limits.height.source
        assert limits.pull.source
