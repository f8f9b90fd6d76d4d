"""A circuit typed by hand, copied: own fittings and wires anew, shared ones by a free way."""

from dataclasses import replace

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.editing import circuits
from webapp.stages.design.editing.adding import NewEnd, NewWire, add
from webapp.stages.design.editing.circuit_copies import copy, links_of
from webapp.stages.design.editing.edit import put
from webapp.stages.design.editing.fittings import add as add_fitting
from webapp.stages.design.editing.fittings import load_current
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Circuit, Design, Fitting
from webapp.stages.refusals import NotThere, Refused

LAMP = next(part for part in CATALOGUE.parts.values() if part.text("what") == "load")


def named(after: Design, name: str) -> Fitting:
    return next(each for each in after.fitting.values() if each.name == name)


def way(after: Design, fitting: str, label: str) -> str:
    return next(
        each.uid for each in after.ways_of[named(after, fitting).uid] if each.label == label
    )


def typed() -> tuple[Design, Circuit]:
    """Two proposed circuits, and beside them a lamp at the bow typed by hand: fed from the fuse
    board's spare way, back to the negative bar."""
    needs = [lamp("a", name="Cabin lamp"), lamp("b", name="Chart lamp")]
    after = propose(design(needs), CATALOGUE).design
    after = add_fitting(LAMP.uid, "Left deck lamp", "bow")(after, CATALOGUE).design
    labels = [each.label for each in after.ways_of[named(after, "Left deck lamp").uid]]
    after = circuits.add("Left deck lamp", "other")(after, CATALOGUE).design
    used = {uid for each in after.link.values() for uid in (each.from_way_uid, each.to_way_uid)}
    board = next(
        each for each in after.bridge.values() if each.kind == "fuse" and each.way_b_uid not in used
    )
    after = put(after, replace(board, fuse_a=3.0))
    bar = next(
        each
        for each in after.way.values()
        if "bar" in after.fitting[each.fitting_uid].name and each.uid not in used
    )
    for start, end in (
        (board.way_b_uid, way(after, "Left deck lamp", labels[0])),
        (way(after, "Left deck lamp", labels[1]), bar.uid),
    ):
        wire = NewWire(NewEnd(start), NewEnd(end), "Left deck lamp", csa_mm2=1.0)
        after = add(wire)(after, CATALOGUE).design
    load = next(
        each for each in after.bridge.values()
        if each.fitting_uid == named(after, "Left deck lamp").uid
    )  # fmt: skip
    after = load_current(load.uid, 2.0)(after, CATALOGUE).design
    made = next(each for each in after.circuit.values() if each.name == "Left deck lamp")
    return after, made


BEFORE, DECK = typed()


def test_the_copy_has_its_own_fitting_wires_numbers_and_colours() -> None:
    after = copy(DECK.uid, "Right deck lamp", {"bow": "helm"})(BEFORE, CATALOGUE).design
    assert named(after, "Right deck lamp").place_uid == "helm"
    new = next(each for each in after.circuit.values() if each.name == "Right deck lamp")
    assert new.number == max(each.number for each in BEFORE.circuit.values()) + 1
    first, second = links_of(BEFORE, DECK.uid), links_of(after, new.uid)
    assert len(second) == len(first) == 2
    assert not {each.number for each in second} & {each.number for each in BEFORE.link.values()}
    feeds = [(links[0].main, links[0].tracer) for links in (first, second)]
    assert feeds[0] != feeds[1]
    assert [each.csa_mm2 for each in second] == [1.0, 1.0]


def test_shared_fittings_give_the_copy_their_next_free_way_and_the_same_fuse_link() -> None:
    after = copy(DECK.uid, "Right deck lamp", {"bow": "helm"})(BEFORE, CATALOGUE).design
    loads = {load.name: load for load in Figures(after).loads.values()}
    new, old = loads["Right deck lamp"], loads["Left deck lamp"]
    assert new.path.complete
    assert new.heat_a == old.heat_a == 2.0
    fuses = [Figures(after).fuse_of_load(each) for each in (new, old)]
    assert fuses[0] is not None
    assert fuses[1] is not None
    assert fuses[0].uid != fuses[1].uid
    assert fuses[0].fuse_a == fuses[1].fuse_a == 3.0


def test_nothing_of_what_was_there_is_changed_but_the_fuse_link_that_is_taken() -> None:
    after = copy(DECK.uid, "Right deck lamp", {"bow": "helm"})(BEFORE, CATALOGUE).design
    for table in ("fitting", "way", "circuit", "link", "crossing", "wire_end", "need", "place"):
        kept = {uid: row for uid, row in after.table(table).items() if uid in BEFORE.table(table)}
        assert kept == BEFORE.table(table), table
    changed = [uid for uid, row in BEFORE.bridge.items() if after.bridge[uid] != row]
    assert [after.bridge[uid].kind for uid in changed] in (["fuse"], [])


def test_where_no_way_is_free_the_end_is_left_loose_and_said() -> None:
    after = BEFORE
    for number in range(20):
        edit = copy(DECK.uid, f"Deck lamp number {number}", {})(after, CATALOGUE)
        after = edit.design
        if any("left loose" in sentence for sentence in edit.said):
            break
    else:
        raise AssertionError("the fuse board never ran out")
    new = next(each for each in after.circuit.values() if each.name.endswith(f"number {number}"))
    loose = [each for each in links_of(after, new.uid) if each.from_way_uid is None]
    assert loose
    assert after.wire_end[f"{loose[0].uid}:from"].loose_mm


def test_a_name_that_is_taken_and_a_circuit_that_is_not_there_are_refused() -> None:
    with pytest.raises(Refused, match="already"):
        copy(DECK.uid, "left deck LAMP", {})(BEFORE, CATALOGUE)
    with pytest.raises(NotThere):
        copy("none", "Right deck lamp", {})(BEFORE, CATALOGUE)
    empty = circuits.add("Empty", "other")(BEFORE, CATALOGUE).design
    uid = next(each.uid for each in empty.circuit.values() if each.name == "Empty")
    with pytest.raises(Refused, match="no wires"):
        copy(uid, "Empty 2", {})(empty, CATALOGUE)
