"""What the bench list shows of cables of several cores and of twisted pairs."""

from tests.stages.design.laid import LAID
from tests.stages.design.need_lists import CATALOGUE
from webapp.pages.bench_drawings import Drawings
from webapp.pages.bench_moment import Moment
from webapp.pages.bench_panels import panels
from webapp.pages.bench_rows import StepRow
from webapp.stages.building.loom_steps import work_plan


def rows_of(name: str, order: str = "tool") -> list[StepRow]:
    plan = work_plan(LAID, CATALOGUE.parts, "full")
    moment = Moment(LAID, CATALOGUE.parts, plan, {}, {}, {})
    found = panels(moment, order, Drawings(LAID, plan))
    return [row for panel in found for row in panel.rows if row.where == name]


def test_a_cable_shows_the_wires_that_are_its_cores() -> None:
    cut, near, far = rows_of("Cable 1")
    assert cut.named
    assert (cut.title, near.title, far.title) == (
        "Cut 2,180 mm", "Strip 100 mm of sheath", "Strip 80 mm of sheath"
    )  # fmt: skip
    numbers = [wire.number for wire in cut.wires]
    assert len(numbers) == len(set(numbers)) == 3  # two cores and the screen
    assert all(wire.drawn.startswith("<svg") for wire in cut.wires)
    assert [wire.number for wire in near.wires] == [wire.number for wire in far.wires] == numbers


def test_a_pair_shows_both_wires_where_it_is_twisted() -> None:
    twist = next(row for row in rows_of("Pair 1") if row.title == "Twist together")
    assert [wire.number for wire in twist.wires] == ["3", "4"]
    cut = {row.title: row.wires for row in rows_of("Pair 1", "wire") if "Cut" in row.title}
    assert [[wire.number for wire in wires] for wires in cut.values()] == [["3"], ["4"]]
