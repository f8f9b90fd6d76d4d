"""What will not pass a grommet is made after the run is threaded; empty sealed cavities."""

from dataclasses import replace

import pytest

from tests.stages.design.findings.cases_joints import sealed
from tests.stages.design.findings.cases_runs import GROMMETS
from tests.stages.design.findings.cases_splices import SPLICED, splices
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.building.loom_steps import work_plan
from webapp.stages.building.steps import WorkPlan
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.openings import threadings
from webapp.stages.design.wires import wires


def tight(parts: dict[str, CatalogPart]) -> dict[str, CatalogPart]:
    """The parts with every grommet letting next to nothing through."""
    return {
        uid: replace(part, facts=part.facts | {"passes_mm": 1.0})
        if part.kind == "grommet"
        else part
        for uid, part in parts.items()
    }


def in_order(plan: WorkPlan) -> None:
    """What a step waits for comes before it, and every step comes."""
    done: set[str] = set()
    for step in plan:
        assert set(step.after) <= done, step.uid
        done.add(step.uid)
    assert done == plan.by_uid.keys()


@pytest.mark.parametrize("depth", ["short", "full"])
def test_ends_that_will_not_pass_wait_for_the_grommet(depth: str) -> None:
    parts = tight(CATALOGUE.parts)
    plan = work_plan(GROMMETS, parts, depth)
    found = threadings(GROMMETS, parts, wires(GROMMETS))
    assert found
    waiting = 0
    for threading in found:
        on = plan.by_uid[f"{threading.run.uid}:pass"]
        assert threading.opening.name in on.detail
        for late in threading.ends:
            work = next(each for each in plan.wires if each.uid == late.wire.uid)
            end = next(each for each in work.ends if each.uid == late.end.uid)
            assert on.uid in end.steps[0].after
            assert "threaded through" in end.steps[0].detail
            waiting += 1
        for half in threading.halves:
            after = plan.by_uid[f"{half.uid}:assemble"].after
            assert all(on.uid in plan.by_uid[uid].after for uid in after)
    assert waiting
    in_order(plan)


def test_what_passes_waits_for_nothing_more() -> None:
    roomy = {
        uid: replace(part, facts=part.facts | {"passes_mm": 99.0})
        if part.kind == "grommet"
        else part
        for uid, part in CATALOGUE.parts.items()
    }
    plan = work_plan(GROMMETS, roomy, "full")
    assert not any("threaded through" in step.detail for step in plan)
    in_order(plan)


def test_only_one_side_of_a_run_waits() -> None:
    for threading in threadings(GROMMETS, tight(CATALOGUE.parts), wires(GROMMETS)):
        sides = {late.wire.uid for late in threading.ends}
        assert len(sides) == len(threading.ends)


def test_the_bench_is_told_where_a_splice_lies_and_what_to_blank() -> None:
    plan = work_plan(SPLICED, CATALOGUE.parts, "full")
    splice = splices()[0]
    assert f"{splice.along_mm} mm into " in plan.by_uid[f"{splice.uid}:join"].detail
    for blanked in (False, True):
        design = sealed(blanked=blanked)
        half = next(each for each in design.fitting.values() if each.kind == "plug")
        step = work_plan(design, CATALOGUE.parts, "full").by_uid[f"{half.uid}:assemble"]
        assert "spare" in step.detail
        assert ("blanking plugs in" in step.detail) is blanked
