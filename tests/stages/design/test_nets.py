"""What is joined, and what of it leads back."""

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.editing import adding, fittings
from webapp.stages.design.nets import return_ways
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design


def way(after: Design, name: str, label: str) -> str:
    (fitting,) = (each.uid for each in after.fitting.values() if each.name == name)
    return next(each.uid for each in after.ways_of[fitting] if each.label == label)


@pytest.mark.parametrize("label", ["+", "−"])
def test_a_bar_is_a_return_unless_it_is_fed(label: str) -> None:
    after = propose(design([lamp(), lamp("two", name="Two")]), CATALOGUE).design
    after = fittings.add("bar-6", "Other bar", "battery box")(after, CATALOGUE).design
    assert way(after, "Other bar", "1") in return_ways(after)
    ends = [
        adding.NewEnd(way(after, "Battery", label)),
        adding.NewEnd(way(after, "Other bar", "1")),
    ]
    joined = adding.add(adding.NewWire(*ends, "Supply"))(after, CATALOGUE).design
    assert (way(joined, "Other bar", "1") in return_ways(joined)) is (label == "−")
