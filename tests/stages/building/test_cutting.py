"""The cut list: by cable and colour, with the reel's total."""

from sqlalchemy.orm import Session

from tests.stages import launch
from webapp.stages import catalogue
from webapp.stages.building.cutting import cable_groups
from webapp.stages.design import rows
from webapp.stages.design.wires import wires


def test_wires_are_grouped_by_cable_and_colour(session: Session) -> None:
    design = rows.load(session, launch.begin(session).revision_id)
    groups = cable_groups(design, catalogue.read(session).parts)
    cut = {(g.cable, g.main, g.tracer): [wire.number for wire in g.wires] for g in groups}
    assert cut == {
        ("Vehicle cable 4", "yellow", ""): ["6"],
        ("Boat cable 2.5", "brown", "red"): ["2A", "2B"],
        ("Boat cable 2.5", "red", ""): ["1"],
        ("Boat cable 2.5", "yellow", ""): ["3B", "3A"],
        ("Boat cable 1.5", "dark grey", ""): ["4"],
        ("Boat cable 1.5", "orange", ""): ["7"],
        ("Boat cable 1.5", "yellow", ""): ["5"],
    }
    uncut = sum(wire.length_mm or 0 for wire in wires(design) if wire.link.own_lead)
    total = sum(wire.length_mm or 0 for wire in wires(design))
    assert sum(group.length_mm for group in groups) == total - uncut


def test_the_reel_total_is_over_all_units_with_scrap(session: Session) -> None:
    design = rows.load(session, launch.begin(session).revision_id)
    groups = cable_groups(design, catalogue.read(session).parts)
    brown = next(group for group in groups if group.main == "brown")
    assert brown.length_mm == 2900  # 1,900 + 1,000
    assert brown.reel_mm(6, 0) == 17_400
    assert brown.reel_mm(6, 10) == 19_200  # 19,140 to the next 100 mm
