"""The test plan follows from the design; limits from published tables, marked where unconfirmed."""

from dataclasses import replace

import pytest
from sqlalchemy.orm import Session

from tests.stages import launch
from webapp.stages import catalogue
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design import rows
from webapp.stages.design.rows import Design
from webapp.stages.testing.first_off import least_pull_n
from webapp.stages.testing.items import FOUR_WIRE, LOADED_DROP
from webapp.stages.testing.nets import nets
from webapp.stages.testing.plan import TestPlan, test_plan


@pytest.fixture
def design(session: Session) -> Design:
    return rows.load(session, launch.begin(session).revision_id)


@pytest.fixture
def parts(session: Session, design: Design) -> dict[str, CatalogPart]:
    return catalogue.read(session).parts


@pytest.fixture
def plan(design: Design, parts: dict[str, CatalogPart]) -> TestPlan:
    return test_plan(design, parts)


def uids(plan: TestPlan, kind: str) -> list[str]:
    return [item.uid for item in plan.items if item.kind == kind]


def test_every_wire_is_tried_for_continuity_and_resistance(plan: TestPlan) -> None:
    wires = ["l1.0", "l2.0", "l2.1", "l3.0", "l3.1", "l4.0", "l5.0", "l6.0", "l7.0", "l8.0"]
    assert uids(plan, "continuity") == [f"{uid}:continuity" for uid in wires]
    # Nobody here chose the customer's own lead, so nobody can give its limit.
    assert uids(plan, "resistance") == [f"{uid}:resistance" for uid in wires[:-1]]


def test_wires_joined_by_splice_plug_or_switch_are_one_net(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    found = [[wire.number for wire in net.wires] for net in nets(design, parts)]
    # The fuse-link is out and the loads are unplugged, so nothing joins feed and return.
    assert found == [["1"], ["2A", "2B"], ["3A", "3B", "5", "6"], ["4", "7"], ["8"]]


def test_each_net_is_isolated_from_all_the_others(plan: TestPlan) -> None:
    assert len(uids(plan, "isolation")) == 5
    item = plan.by_uid["l3:isolation"]
    assert item.what == "Circuit 1, bilge pump and 1 more, joined, wires 3A, 3B, 5, 6"
    # 1 MΩ is common practice; 100 V d.c. is MIL-STD-202H method 302, condition A.
    assert item.limit_text() == "at least 1 MΩ, at 100 V d.c."
    assert item.passes(1.0)
    assert not item.passes(0.99)


def test_the_resistance_limit_is_the_tables_with_the_joints(plan: TestPlan) -> None:
    # IEC 60228:2004 class 5, tinned, 1.5 mm²: 13.7 Ω/km at 20 °C; 1 mΩ a crimp: common practice.
    item = plan.by_uid["l4.0:resistance"]
    assert item.high == pytest.approx(13.7 * 2.5 + 2 * 1.0)
    assert item.confirmed
    # A loose end has no joint.
    assert plan.by_uid["l7.0:resistance"].high == pytest.approx(13.7 * 0.35 + 1.0)


def test_a_limit_from_memory_says_so(plan: TestPlan) -> None:
    # ISO 6722-1's table was not seen in print.
    assert not plan.by_uid["l6.0:resistance"].confirmed


def test_a_loaded_drop_is_judged_by_its_current(plan: TestPlan) -> None:
    item = plan.by_uid["l4.0:resistance"]
    assert item.limit_text(FOUR_WIRE) == "at most 36.25 mΩ, at 20 °C"
    assert item.limit_text(LOADED_DROP, 10.0) == "at most 362.5 mV at 10 A"
    assert item.passes(36.0, FOUR_WIRE)
    assert not item.passes(37.0, FOUR_WIRE)
    assert item.passes(360.0, LOADED_DROP, 10.0)
    assert not item.passes(360.0, LOADED_DROP, 5.0)


def test_a_wire_without_a_size_in_the_tables_names_what_is_missing(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    link = replace(design.link["l4"], csa_mm2=1.7)
    plan = test_plan(replace(design, link={**design.link, "l4": link}), parts)
    item = plan.by_uid["l4.0:resistance"]
    assert item.high is None
    assert item.limit_text().startswith("no limit: ")
    assert not item.judged


def test_polarity_at_each_load_that_has_both_wires(plan: TestPlan, design: Design) -> None:
    assert uids(plan, "polarity") == ["b-lamp:polarity", "b-pump:polarity"]
    assert plan.by_uid["b-pump:polarity"].limit_note == "+ is positive, − is the return"


def test_positive_earth_turns_the_polarity_round(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = test_plan(replace(design, polarity="positive earth"), parts)
    assert "earth, positive" in plan.by_uid["b-pump:polarity"].limit_note


def test_three_heights_and_three_pulls_for_each_terminal_on_each_conductor(plan: TestPlan) -> None:
    heights, pulls = uids(plan, "crimp height"), uids(plan, "crimp pull")
    pairs = ["t-ring:2.5", "t-tab:2.5", "t-pin:2.5", "t-butt:2.5", "t-tab:1.5", "t-ring:4"]
    assert heights == [f"first-off:{pair}:height:{n}" for pair in pairs for n in (1, 2, 3)]
    assert len(pulls) == len(heights)
    # A solder cup is no crimp.
    assert not any("t-cup" in uid for uid in plan.by_uid)
    tab = plan.by_uid["first-off:t-tab:2.5:height:1"]
    assert (tab.low, tab.high, tab.confirmed) == (1.5, 1.6, True)
    assert not plan.by_uid["first-off:t-ring:2.5:height:1"].judged


@pytest.mark.parametrize(
    ("csa_mm2", "force_lbf"),
    # UL 486A: AWG 18 20 lbf, 16 30, 14 50, 12 70, 10 80, 8 90; the gauge is the thickest that is
    # no thicker than the section.
    [(1.0, 20), (1.5, 30), (2.5, 50), (4.0, 70), (6.0, 80), (10.0, 90)],
)
def test_the_least_pull_is_the_tables(csa_mm2: float, force_lbf: float) -> None:
    found = least_pull_n(csa_mm2)
    assert found is not None
    assert found.value == pytest.approx(force_lbf * 4.4482216)
    assert found.confirmed


def test_a_pull_below_the_gauge_table_is_from_memory() -> None:
    # IEC 60352-2:2006 Table 1, 0.5 mm²: 60 N (from memory). UL 486A AWG 22: 8 lbf.
    found = least_pull_n(0.22)
    assert found is None or not found.confirmed


def test_the_makers_force_outranks_the_table(plan: TestPlan) -> None:
    assert plan.by_uid["first-off:t-butt:2.5:pull:1"].low == 200


def test_every_need_is_tried_with_a_dummy_load(plan: TestPlan) -> None:
    assert set(uids(plan, "function")) == {f"n-{x}:function" for x in ("pump", "lamp", "radio")}
    lamp = plan.by_uid["n-lamp:function"]
    assert lamp.between == "dummy load 10 W"
    assert lamp.limit_note == "works by switch at helm, and nothing else works with it"
