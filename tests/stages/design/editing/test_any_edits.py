"""Edits in any order: no row is left pointing at nothing, and a new proposal keeps what was set."""

from collections.abc import Callable
from dataclasses import fields
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, any_list
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing import (
    adding,
    circuits,
    ends,
    fittings,
    plugs,
    removals,
    wires,
)
from webapp.stages.design.editing.edit import Editing
from webapp.stages.design.editing.removals import wires_of_fitting
from webapp.stages.design.figures import Figures
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import ROW_TYPES, Design
from webapp.stages.design.wires import wires as wires_of
from webapp.stages.refusals import NotThere, Refused

TARGETS = {
    "place_uid": "place", "from_place_uid": "place", "to_place_uid": "place",
    "fitting_uid": "fitting", "mate_uid": "fitting", "run_uid": "run",
    "way_a_uid": "way", "way_b_uid": "way", "from_way_uid": "way", "to_way_uid": "way",
    "circuit_uid": "circuit", "link_uid": "link", "need_uid": "need",
}  # fmt: skip

Pick = Callable[[Any], Any]


def whole(design: Design) -> None:
    """Every reference leads to a row; figures, wires and findings can be worked out."""
    for table, row_type in ROW_TYPES.items():
        names = {item.name for item in fields(row_type)}
        for uid, row in design.table(table).items():
            assert uid == row.uid
            for name in names & TARGETS.keys():
                target = getattr(row, name)
                assert target is None or target in design.table(TARGETS[name]), (table, uid, name)
    for link in design.link.values():
        assert all(run in design.run for run in link.route or ())
        assert link.from_way_uid or link.to_way_uid
    ends_there = {end.uid for wire in wires_of(design) for end in wire.ends}
    assert set(design.wire_end) == ends_there
    numbers = [link.number for link in design.link.values()]
    assert len(numbers) == len(set(numbers))
    figures = Figures(design)
    for uid in design.link:
        figures.wire(uid)
    findings(design, CATALOGUE)


def any_edit(design: Design, kind: int, pick: Pick) -> Editing | None:
    link, fitting = pick(design.link), pick(design.fitting)
    way, place, run = pick(design.way), pick(design.place), pick(design.run)
    if None in (link, fitting, way, place, run):
        return None
    side = "from" if kind % 2 else "to"
    end = pick([end.uid for wire in wires_of(design) for end in wire.ends])
    part = pick([each.uid for each in fittings.parts_on_offer(CATALOGUE)])
    crossing = pick(design.crossing)
    choices: list[Editing] = [
        wires.section(link, pick([1.0, 2.5, 6.0, 16.0])),
        wires.colour(link, "main", pick(["red", "brown"])),
        wires.length(link, 0, pick([500, None, 4000])),
        wires.flag(link, pick(["starter_cable", "own_lead"]), bool(kind % 3)),
        wires.route(link, pick([None, (run,)])),
        wires.number(link, pick([1, 500, 501, 502])),
        ends.to_way(link, side, way),
        ends.to_way(link, side, way),
        ends.to_loose(link, side, place),
        ends.field(end, "terminal_part_uid", pick([ends.CHOSEN, None, "ring-M8-2.5-6"])),
        fittings.move(fitting, place),
        fittings.other_part(fitting, part),
        fittings.other_part(fitting, part),
        fittings.add(part, f"Typed {kind} {len(design.fitting)}", place),
        plugs.put_in(place, run),
        removals.remove_wire(link),
        removals.remove_fitting(
            fitting, tuple(each.uid for each in wires_of_fitting(design, fitting))
        ),
        circuits.remove(pick(design.circuit)),
        adding.add(adding.NewWire(adding.NewEnd(way), adding.NewEnd(pick(design.way)), "Typed")),
        adding.add(adding.NewWire(adding.NewEnd(None, place), adding.NewEnd(way), "Typed")),
    ]
    if crossing is not None:
        half = design.way[design.crossing[crossing].way_a_uid].fitting_uid
        choices.append(ends.plug_way(crossing, half, pick(["1", "2", "3"])))
    return choices[kind % len(choices)]


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), seed=st.integers(0, 10_000))
def test_any_edits_leave_a_whole_design_and_are_kept(data: st.DataObject, seed: int) -> None:
    pick_from = data.draw(st.randoms(use_true_random=False))

    def pick(rows: Any) -> Any:
        found = list(rows)
        return pick_from.choice(found) if found else None

    design = propose(any_list(seed, 4, 12, "insulated return", "craft"), CATALOGUE).design
    for kind in data.draw(st.lists(st.integers(0, 200), min_size=1, max_size=8)):
        editing = any_edit(design, kind, pick)
        if editing is None:
            continue
        try:
            design = editing(design, CATALOGUE).design
        except (Refused, NotThere, Clash):
            continue
        whole(design)
    again = propose(design, CATALOGUE).design
    whole(again)
    for table in ("link", "fitting", "circuit", "bridge"):
        for uid, row in design.table(table).items():
            later = again.table(table).get(uid)
            if later is not None:
                for name in row.by_hand:
                    assert getattr(later, name) == getattr(row, name), (table, uid, name)
