"""Cables at the bench and in the price: cut once, stripped, twisted, their screens parted."""

from decimal import Decimal

from tests.stages.design.laid import LAID, PLUGGED, links_in, need, proposed
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.building.cutting import cable_groups, core_cables
from webapp.stages.building.end_state import end_states
from webapp.stages.building.loom_steps import work_plan
from webapp.stages.design.cables import pieces
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires
from webapp.stages.parts_list import parts_list
from webapp.stages.testing.plan import test_plan as plan_of_tests

PARTS = CATALOGUE.parts
PLAN = work_plan(LAID, PARTS, "full")


def number_of(design: Design, kind: str) -> list[str]:
    return [str(link.number) for link in links_in(design, kind)]


def test_a_cable_is_cut_once_and_stripped_at_both_ends() -> None:
    cable = next(work for work in PLAN.cables if work.name == "Cable 2")
    assert [step.operation for step in cable.steps] == ["cut", "sheath", "sheath"]
    assert "at helm" in cable.steps[1].detail
    assert "at bow" in cable.steps[2].detail
    cores = [work for work in PLAN.wires if work.number in number_of(LAID, "cable of cores")]
    assert [work.whole for work in cores] == [(), ()]
    waited = {end.place: end.steps[0].after for work in cores for end in work.ends}
    assert waited == {"helm": (cable.steps[1].uid,), "bow": (cable.steps[2].uid,)}


def test_a_core_counts_as_cut_when_its_cable_is() -> None:
    core = next(work for work in PLAN.wires if work.number in number_of(LAID, "cable of cores"))
    (cut,) = core.cut_with
    assert end_states(core, {}) == ("not cut yet", "not cut yet")
    assert end_states(core, {cut: "done"}) == ("cut", "cut")


def test_a_new_length_of_cable_asks_for_its_ends_anew_and_no_others() -> None:
    cable = next(work for work in PLAN.cables if work.name == "Cable 2")
    anew = PLAN.made_anew_with([cable.steps[0].uid])
    touched = {PLAN.work_of[uid] for uid in anew}
    cores = {work.uid for work in PLAN.wires if work.number in number_of(LAID, "cable of cores")}
    assert touched == {cable.uid, *cores}


def test_a_pair_is_twisted_once_both_wires_are_cut() -> None:
    pair = next(work for work in PLAN.cables if work.name == "Pair 1")
    assert [step.operation for step in pair.steps] == ["cut", "cut", "twist"]
    assert pair.steps[2].after == tuple(step.uid for step in pair.steps[:2])


def test_a_screen_is_gathered_at_its_earth_and_cut_back_at_the_other_end() -> None:
    screen = next(work for work in PLAN.wires if work.wire.link.core == "screen")
    near, far = screen.ends
    assert [step.operation for step in near.steps][:2] == ["screen", "thread"]
    assert near.steps[0].title == "Gather the screen"
    assert [step.title for step in far.steps] == ["Cut back the screen and sleeve it"]
    short = next(
        work for work in work_plan(LAID, PARTS, "short").wires if work.wire.link.core == "screen"
    )
    assert [step.operation for step in short.right.steps] == ["screen"]


def test_cable_is_bought_by_its_own_length_once() -> None:
    bought = {
        use.part.uid: use.quantity for use in parts_list(PLUGGED, CATALOGUE).parts
        if use.group == "Cable"
    }  # fmt: skip
    for kind in ("cable of cores", "screened cable"):
        links = links_in(PLUGGED, kind)
        part_uid = PLUGGED.cable[links[0].cable_uid or ""].part_uid or ""
        lengths = [
            piece.length_mm or 0 for piece in pieces(PLUGGED) if piece.cable.part_uid == part_uid
        ]
        assert len(lengths) == 2
        assert bought[part_uid] == Decimal(sum(lengths)) / 1000


def test_single_cable_is_bought_for_what_is_no_core() -> None:
    cores = {"cable of cores", "screened cable"}
    single = [
        wire
        for wire in wires(LAID)
        if wire.link.cable_uid is None or LAID.cable[wire.link.cable_uid].kind not in cores
    ]
    bought = sum(
        use.quantity
        for use in parts_list(LAID, CATALOGUE).parts
        if use.group == "Cable" and use.part.kind == "cable"
    )
    assert bought == Decimal(sum(wire.length_mm or 0 for wire in single)) / 1000


def test_the_cut_list_has_each_cable_in_one_piece() -> None:
    groups = core_cables(PLUGGED, PARTS)
    assert [len(group.pieces) for group in groups] == [2, 2]
    laid = {wire.uid for group in groups for piece in group.pieces for wire in piece.wires}
    single = {wire.uid for group in cable_groups(PLUGGED, PARTS) for wire in group.wires}
    assert not laid & single
    assert laid | single == {wire.uid for wire in wires(PLUGGED)}


def test_work_is_counted_as_it_is_ticked() -> None:
    counts = parts_list(LAID, CATALOGUE).operations
    cut = [step for step in PLAN if step.operation == "cut"]
    assert counts["cut"] == len(cut) == len(wires(LAID)) - 3
    bound_m = sum(LAID.run[uid].length_mm or 0 for uid in ("r0", "r1")) / 1000
    assert counts["bind_per_m"] > Decimal(str(bound_m))


def test_a_screen_is_tested_to_earth_at_one_end_and_clear_at_the_other() -> None:
    (screen,) = (wire for wire in wires(LAID) if wire.link.core == "screen")
    mine = [item for item in plan_of_tests(LAID, PARTS).items if item.wires == (screen.uid,)]
    assert [item.kind for item in mine] == ["continuity", "isolation"]
    assert "from its cut-back end to earth" in mine[0].what
    assert mine[1].low is not None
    assert "Negative bar" in mine[1].between


def test_the_customers_own_lead_is_neither_cut_nor_bought_nor_crimped() -> None:
    made = proposed(need("radio", "single wires", own_lead=True), plug=True).design
    (lead,) = (wire for wire in wires(made) if wire.link.own_lead)
    work = next(each for each in work_plan(made, PARTS, "full").wires if each.uid == lead.uid)
    operations = {step.operation for step in work.steps}
    assert operations == {"lay", "thread", "insert"}
    assert lead.uid not in {wire.uid for group in cable_groups(made, PARTS) for wire in group.wires}
    listed = parts_list(made, CATALOGUE)
    assert not listed.missing
    crimped = sum(use.quantity for use in listed.parts if use.group == "Terminals")
    ends = [end for wire in wires(made) if not wire.link.own_lead for end in wire.ends]
    assert crimped == sum(end.made.terminal_part_uid is not None for end in ends)
    mine = [item for item in plan_of_tests(made, PARTS).items if item.wires == (lead.uid,)]
    assert [item.kind for item in mine] == ["continuity"]
