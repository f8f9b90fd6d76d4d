"""Work steps follow from the design: what, in which order, under uids that survive revisions."""

from dataclasses import replace

import pytest
from sqlalchemy.orm import Session

from tests.stages import launch
from webapp.stages import catalogue
from webapp.stages.building.end_state import end_states
from webapp.stages.building.loom_steps import work_plan
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.wire_steps import shrink_cut_mm
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design import rows
from webapp.stages.design.rows import Design


@pytest.fixture
def design(session: Session) -> Design:
    return rows.load(session, launch.begin(session).revision_id)


@pytest.fixture
def parts(session: Session, design: Design) -> dict[str, CatalogPart]:
    return catalogue.read(session).parts


def operations(plan: WorkPlan, work_uid: str) -> list[str]:
    return [step.operation for step in plan if plan.work_of[step.uid] == work_uid]


def test_every_end_is_made_in_the_order_of_the_bench(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = work_plan(design, parts, "full")
    crimped = ["thread", "strip", "crimp", "shrink", "tug", "insert"]
    assert operations(plan, "l1.0") == ["cut", *crimped, *crimped]
    soldered = ["thread", "strip", "crimp", "solder", "shrink", "tug", "insert"]
    cup = ["thread", "strip", "solder", "shrink", "tug", "insert"]
    assert operations(plan, "l4.0") == ["cut", *soldered, *cup]


def test_the_short_depth_has_four_steps_a_wire(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = work_plan(design, parts, "short")
    assert operations(plan, "l1.0") == ["cut", "make", "make", "insert"]
    assert [step.uid for step in plan if plan.work_of[step.uid] == "l2.1"] == [
        "l2.1:cut",
        "l2:xl2.b:made",
        "l2:to:made",
        "l2.1:inserted",
    ]


def test_a_loose_end_is_left_with_its_tail_and_tag(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    for depth in ("short", "full"):
        step = work_plan(design, parts, depth).by_uid["l7:from:loose"]
        assert step.title == "Leave loose 300 mm, tag"
        assert "7 from Helm switch · in OG" in step.detail


def test_the_customers_own_lead_is_laid_in_uncut(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = work_plan(design, parts, "full")
    assert operations(plan, "l8.0") == ["lay", "thread", "insert", "tag"]
    assert "uncut" in plan.by_uid["l8.0:lay"].detail


def test_splices_plugs_and_runs_have_steps_of_their_own(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = work_plan(design, parts, "full")
    assert operations(plan, "splice") == ["join", "shrink", "tug"]
    assert plan.by_uid["splice:join"].after == ("l3:from:strip", "l5:from:strip", "l6:from:strip")
    assert plan.by_uid["plug:assemble"].after == ("l2:xl2.a:insert", "l3:xl3.a:insert")
    assert "1 spare" in plan.by_uid["plug:assemble"].detail
    # Masking tape, then tried in place, and only then covered; a bare run is not covered.
    assert operations(plan, "r2") == ["pass", "bind"]
    assert plan.by_uid["loom:try"].after == ("r1:bind", "r2:bind", "r3:bind")
    assert plan.by_uid["r1:cover"].after == ("loom:try",)
    assert "r3:cover" not in plan.by_uid


def test_ends_are_tagged_before_a_run_is_bound(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = work_plan(design, parts, "full")
    assert plan.by_uid["r3:bind"].after == (
        "l4:from:thread",
        "l4:to:thread",
        "l5:from:thread",
        "l5:to:thread",
    )


def test_details_name_part_height_sleeve_and_tag(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = work_plan(design, parts, "full")
    assert plan.by_uid["l1.0:cut"].title == "Cut 100 mm"
    assert plan.by_uid["l2:xl2.a:thread"].detail == (
        "tag “2A Engine plug · 1 BN/RD”, then shrink 6.4 → 3.2, cut 27 mm, then seal"
    )
    crimp = plan.by_uid["l1:to:crimp"]
    assert crimp.detail == "Tab receptacle 6.3 · height 1.55 mm · tool 3"
    assert plan.by_uid["l1:from:strip"].title == "Strip 8.0 mm"


def test_heat_shrink_is_cut_longer_by_what_it_loses() -> None:
    # SAE AMS-DTL-23053/5 class 1: at most 5 % shorter after recovery (from memory).
    sleeve = CatalogPart("s", "heat-shrink", "S", {"longitudinal_percent": -5})
    assert shrink_cut_mm(sleeve, 25) == 27
    assert 27 * 0.95 >= 25 > 26 * 0.95
    assert shrink_cut_mm(sleeve, None) is None


def test_uids_of_steps_survive_a_change_of_terminal(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    before = work_plan(design, parts, "full")
    wire_end = replace(design.wire_end["l1:to"], terminal_part_uid="t-ring")
    after = work_plan(
        replace(design, wire_end={**design.wire_end, "l1:to": wire_end}), parts, "full"
    )
    assert before.by_uid.keys() == after.by_uid.keys()
    assert after.by_uid["l1:to:crimp"].detail == "Ring M8"


def test_no_step_waits_for_itself_or_for_nothing(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    for depth in ("short", "full"):
        plan = work_plan(design, parts, depth)
        seen: set[str] = set()
        for step in plan:
            assert set(step.after) <= seen, step.uid
            seen.add(step.uid)
        assert len(seen) == sum(1 for _ in plan)


@pytest.mark.parametrize(
    ("done", "left"),
    [
        ("", "not cut yet"),
        ("cut", "cut"),
        ("cut thread strip", "stripped"),
        ("cut thread strip crimp", "crimped"),
        ("cut thread strip crimp solder", "soldered"),
        ("cut thread strip crimp solder shrink", "soldered"),
        ("cut thread strip crimp solder shrink tug", "made"),
    ],
)
def test_an_end_fills_in_as_the_bench_ticks_it(
    design: Design, parts: dict[str, CatalogPart], done: str, left: str
) -> None:
    plan = work_plan(design, parts, "full")
    work = next(work for work in plan.wires if work.uid == "l4.0")
    states = {
        step.uid: "done"
        for step in (*work.whole, *work.left.steps)
        if step.operation in done.split()
    }
    assert end_states(work, states) == (left, "cut" if done else "not cut yet")


def test_plugs_splices_loose_ends_and_waived_joints_are_drawn_as_they_are(
    design: Design, parts: dict[str, CatalogPart]
) -> None:
    plan = work_plan(design, parts, "full")
    works = {work.uid: work for work in plan.wires}
    every = {step.uid: "done" for step in plan}
    assert end_states(works["l3.0"], every) == ("spliced", "in its plug")
    assert end_states(works["l7.0"], every) == ("left loose", "made")
    # A crimp that was waived is not there, so it is not drawn as made.
    assert end_states(works["l1.0"], every | {"l1:to:crimp": "waived"})[1] == "stripped"
    assert end_states(works["l1.0"], every | {"l1:to:tug": "waived"})[1] == "made"
