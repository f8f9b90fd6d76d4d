"""An old loom copied wire by wire: what grows from each wire."""

from dataclasses import replace
from typing import Any

import pytest

from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.design.comparing import fingerprint
from webapp.stages.design.defaults import first_basis
from webapp.stages.design.editing.copying import CopiedEnd, CopiedWire, copy
from webapp.stages.design.editing.edit import Edit
from webapp.stages.design.editing.plugs import put_in
from webapp.stages.design.findings import findings
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires
from webapp.stages.refusals import Refused

EMPTY = Design(12, "positive earth", "vehicle", first_basis(12, "vehicle"))


def end(words: str | CopiedEnd) -> CopiedEnd:
    if isinstance(words, CopiedEnd):
        return words
    name, _, place = words.partition("@")
    return CopiedEnd(name.strip(), place.strip())


def taken(design: Design, left: str | CopiedEnd, right: str | CopiedEnd, **more: Any) -> Edit:
    uid = more.pop("uid", f"link{len(design.link)}")
    return copy(CopiedWire(uid, end(left), end(right), **more))(design, CATALOGUE)


def grown(*lines: tuple[Any, ...]) -> Design:
    design = EMPTY
    for left, right, *mm in lines:
        design = taken(design, left, right, length_mm=mm[0] if mm else None).design
    return design


FIRST = ("headlamp switch 3 @ dash", "headlamp 2 @ nose", 1800)


def test_fittings_ways_places_and_a_run_grow_from_one_wire() -> None:
    edit = taken(EMPTY, *FIRST[:2], length_mm=1800, main="blue", tracer="red", measured_by="Ada")
    design = edit.design
    assert edit.sentence == "Copy wire 1, headlamp switch · 3 to headlamp · 2"
    assert [each.name for each in design.place.values()] == ["dash", "nose"]
    assert [each.supplied_by for each in design.fitting.values()] == ["workshop", "workshop"]
    (run,) = design.run.values()
    assert (run.length_mm, run.measured_how, run.measured_by) == (1800, "old loom", "Ada")
    (wire,) = wires(design)
    assert (wire.link.main, wire.link.tracer, wire.link.csa_mm2) == ("blue", "red", None)
    assert wire.length_mm == 1800
    assert wire.link.route == (run.uid,)
    assert design.circuit[wire.link.circuit_uid].name == "As copied"
    assert "New run: dash to nose, 1,800 mm." in edit.said


def test_the_next_wire_goes_to_what_is_there() -> None:
    design = grown(FIRST, ("Headlamp Switch 4", "headlamp 1", 1800), ("headlamp switch 3", "x 1"))
    assert [each.name for each in design.fitting.values()] == ["headlamp switch", "headlamp", "x"]
    labels = {way.label: way.takes for way in design.ways_of[next(iter(design.fitting))]}
    assert labels == {"3": 2, "4": 1}
    assert len(design.run) == 2


def test_without_a_place_a_fitting_has_one_of_its_own() -> None:
    design = grown(("horn 1", "horn push 2", 900))
    assert [each.name for each in design.place.values()] == ["horn", "horn push"]
    same = grown(("horn 1 @ nose", "horn relay 87 @ nose", 120))
    assert not same.run
    assert next(iter(same.link.values())).route == ()


def test_one_point_takes_several_wires_without_a_way_being_said() -> None:
    design = grown(("horn 1 @ nose", "earth @ nose"), ("lamp 1 @ nose", "earth"))
    (earth,) = (each for each in design.fitting.values() if each.name == "earth")
    (way,) = design.ways_of[earth.uid]
    assert (way.label, way.takes) == ("1", 2)
    assert {link.circuit_uid for link in design.link.values()} == set(design.circuit)


def test_a_fitting_of_several_ways_wants_one_named() -> None:
    design = grown(FIRST, ("headlamp switch 4", "headlamp 1"))
    with pytest.raises(Refused, match="headlamp has 2 and 1: say which") as refused:
        taken(design, "horn 1", "headlamp")
    assert refused.value.field == "right"


def test_lengths_of_one_run_that_disagree_are_said_and_kept() -> None:
    design = grown(FIRST)
    near = taken(design, "headlamp switch 4", "headlamp 1", length_mm=1850)
    assert not [said for said in near.said if "measures" in said]
    far = taken(near.design, "headlamp switch 5", "headlamp 3", length_mm=2100)
    (said,) = (said for said in far.said if "measures" in said)
    assert said.startswith("Wire 3 measures 2,100 mm from dash to nose; the loom is 1,800 mm")
    assert "with wire 1 and wire 2" in said
    assert [wire.length_mm for wire in wires(far.design)] == [1800, 1850, 2100]


def test_an_unmeasured_run_is_measured_by_the_next_wire() -> None:
    edit = taken(grown(FIRST[:2]), "headlamp switch 4", "headlamp 1", length_mm=1750)
    assert [run.length_mm for run in edit.design.run.values()] == [1750]
    assert any("is 1,750 mm by this wire" in said for said in edit.said)


def test_a_wire_goes_by_the_runs_that_are_there() -> None:
    design = grown(("a 1", "b 1", 1000), ("b 2", "c 1", 500), ("a 2", "c 2", 1500))
    assert len(design.run) == 2
    assert len(list(design.link.values())[-1].route or ()) == 2


def test_an_end_is_left_loose_with_a_tail_and_a_tag() -> None:
    loose = CopiedEnd("left loose", "boot", loose=True, loose_mm=250, tag="to tow bar")
    edit = taken(EMPTY, "fuse box 4 @ dash", loose, length_mm=3250)
    (wire,) = wires(edit.design)
    assert wire.right.loose
    assert (wire.right.made.loose_mm, wire.right.made.tag) == (250, "to tow bar")
    assert wire.length_mm == 3250
    assert [run.length_mm for run in edit.design.run.values()] == [3000]
    with pytest.raises(Refused, match="tail alone is 250 mm"):
        taken(EMPTY, "fuse box 4 @ dash", loose, length_mm=250)
    with pytest.raises(Refused, match="at which place"):
        taken(EMPTY, "fuse box 4", replace(loose, place=""))
    with pytest.raises(Refused, match="both are left loose"):
        taken(EMPTY, loose, loose)


def test_what_stays_in_the_vehicle_is_the_customers() -> None:
    design = grown(
        ("fuse box 4 @ dash", "existing wiring 1 @ bulkhead", 900),
        ("fuse box 5", "existing wiring 2", 900),
        ("fuse box 6", "existing wiring 1 @ boot", 3000),
    )
    own = {
        design.place[each.place_uid].name: [way.label for way in design.ways_of[each.uid]]
        for each in design.fitting.values()
        if each.supplied_by == "customer"
    }
    assert own == {"bulkhead": ["1", "2"], "boot": ["1"]}


def test_a_wire_joins_the_circuit_of_what_it_goes_to_or_the_one_that_is_named() -> None:
    design = taken(EMPTY, *FIRST[:2], circuit="Dip").design
    design = taken(design, "headlamp 2", "joint 1").design
    design = taken(design, "horn 1", "joint 2", circuit="Horn").design
    names = [design.circuit[link.circuit_uid].name for link in design.link.values()]
    assert names == ["Dip", "Dip", "Horn"]


def test_sent_twice_it_is_one_wire() -> None:
    once = taken(EMPTY, *FIRST[:2], uid="one").design
    again = taken(once, *FIRST[:2], uid="one")
    assert fingerprint(again.design) == fingerprint(once)


def test_a_section_brings_its_cable() -> None:
    design = taken(EMPTY, *FIRST[:2], csa_mm2=2.5).design
    (link,) = design.link.values()
    assert CATALOGUE.parts[link.cable_part_uid or ""].number("csa_mm2") == 2.5


@pytest.mark.parametrize(
    ("left", "right", "more", "field", "words"),
    [
        ("", "horn 1", {}, "left", "Say where this end goes"),
        ("horn 1", "", {}, "right", "Say where this end goes"),
        ("horn 1", "Horn 1", {}, "right", "Both ends go to the same way"),
        ("horn 1", "lamp 1", {"main": "red", "tracer": "red"}, "colour", "tracer must differ"),
        ("horn 1", "headlamp 2 @ dash", {}, "right_place", "sits at nose, not at dash"),
    ],
)
def test_what_is_refused_names_its_field(
    left: str, right: str, more: dict[str, Any], field: str, words: str
) -> None:
    design = grown(FIRST)
    with pytest.raises(Refused, match=words) as refused:
        taken(design, left, right, **more)
    assert refused.value.field == field


def test_colours_outside_the_code_are_kept_and_nothing_blocks() -> None:
    design = taken(grown(FIRST), "horn 1", "horn push 1", main="maroon", tracer="salmon").design
    link = list(design.link.values())[-1]
    assert (link.main, link.tracer) == ("maroon", "salmon")
    found = findings(design, CATALOGUE)
    assert any("has no maroon and salmon" in each.sentence for each in found)


def test_a_copied_wire_is_cut_by_a_plug_and_whole_again() -> None:
    design = taken(grown(FIRST), "headlamp switch 4", "headlamp 1", csa_mm2=1.0).design
    (run,) = design.run.values()
    plugged = put_in(run.to_place_uid, run.uid)(design, CATALOGUE).design
    assert len(wires(plugged)) == 3
    more = taken(plugged, "headlamp switch 5", "headlamp 3", csa_mm2=1.0, length_mm=1800)
    assert any(said.startswith("Wire 3 ") for said in more.said)
