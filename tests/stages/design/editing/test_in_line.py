"""A diode or a resistor put into a wire by hand."""

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.editing import fittings
from webapp.stages.design.rows import Bridge, Design


def inside(part_uid: str) -> tuple[Design, Bridge]:
    after = fittings.add(part_uid, "In line", "helm")(design([lamp()]), CATALOGUE).design
    (fitting,) = after.fitting.values()
    (bridge,) = (row for row in after.bridge.values() if row.fitting_uid == fitting.uid)
    return after, bridge


def test_a_resistor_has_the_resistance_of_its_part() -> None:
    _, bridge = inside("resistor-10")
    assert bridge.kind == "resistor"
    assert bridge.resistance_ohm == 10.0


def test_a_diode_says_which_end_is_which() -> None:
    after, bridge = inside("diode-6")
    assert bridge.kind == "diode"
    assert bridge.resistance_ohm is None
    assert after.way[bridge.way_a_uid].label == "anode"
    assert after.way[bridge.way_b_uid].label == "cathode"
