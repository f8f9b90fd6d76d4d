"""Wires laid together by hand, taken apart again, and what a core leaves to its cable."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.stages.design.laid import CORES, LAID, PAIR, PLUGGED, asked, links_in, need
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.design.cables import CABLE_KINDS, SCREEN, pieces
from webapp.stages.design.choices import cables as single_cables
from webapp.stages.design.editing import cables, wires
from webapp.stages.design.editing.edit import Editing
from webapp.stages.design.editing.removals import remove_wire
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

SINGLE = propose(
    asked(replace(PAIR, laid_as="single wires"), replace(CORES, laid_as="single wires"), plug=True),
    CATALOGUE,
).design


def feed_and_back(design: Design = SINGLE) -> list[str]:
    """The two wires between the helm and the pump."""
    (circuit,) = (uid for uid, row in design.circuit.items() if row.need_uid == "pump")
    found = [link for link in design.link.values() if link.circuit_uid == circuit and link.route]
    return [link.uid for link in sorted(found, key=lambda link: link.number)]


def done(design: Design, *edits: Editing) -> Design:
    for edit in edits:
        design = edit(design, CATALOGUE).design
    return design


def errors(design: Design) -> set[tuple[str, str]]:
    found = findings(design, CATALOGUE)
    return {
        (each.rule, each.uid)
        for each in found
        if each.severity == "error" and each.table != "run"  # a thicker bundle, said there
    }


def with_a_spare_way() -> Design:
    """One wire less in the plug."""
    horn = next(uid for uid, row in SINGLE.circuit.items() if row.need_uid == "horn")
    gone = next(link for link in SINGLE.link.values() if link.circuit_uid == horn and link.route)
    return done(SINGLE, remove_wire(gone.uid))


@pytest.mark.parametrize("kind", CABLE_KINDS)
def test_wires_are_laid_together_and_apart_again(kind: str) -> None:
    before = with_a_spare_way()
    laid = done(before, cables.lay(feed_and_back(), kind))
    (cable,) = laid.cable.values()
    assert errors(laid) == errors(before)
    assert [piece.name for piece in pieces(laid)] == [f"{cable.name}A", f"{cable.name}B"]
    apart = done(laid, cables.dissolve(cable.uid))
    assert not apart.cable
    assert apart.link.keys() == before.link.keys()
    assert apart.crossing.keys() == before.crossing.keys()
    assert not [link for link in apart.link.values() if link.cable_uid or link.core]
    assert errors(apart) == errors(before)


@pytest.mark.parametrize("kind", CABLE_KINDS)
def test_what_is_laid_by_hand_outlasts_a_proposal(kind: str) -> None:
    laid = done(SINGLE, cables.lay(feed_and_back(), kind))
    again = propose(laid, CATALOGUE).design
    assert again.cable == laid.cable
    assert {
        uid: (link.cable_uid, link.core, link.main, link.csa_mm2)
        for uid, link in laid.link.items()
        if link.cable_uid and link.core != SCREEN
    } == {
        uid: (link.cable_uid, link.core, link.main, link.csa_mm2)
        for uid, link in again.link.items()
        if link.cable_uid and link.core != SCREEN
    }
    assert sum(link.core == SCREEN for link in again.link.values()) == (kind == "screened cable")


def test_a_screen_by_hand_goes_through_the_plug_too() -> None:
    laid = done(with_a_spare_way(), cables.lay(feed_and_back(), "screened cable"))
    (screen,) = (link for link in laid.link.values() if link.core == SCREEN)
    assert screen.from_way_uid is not None
    assert screen.to_way_uid is None
    assert [each.link_uid for each in laid.crossing.values()].count(screen.uid) == 1
    full = cables.lay(feed_and_back(), "screened cable")(SINGLE, CATALOGUE)
    assert any("none there has a spare way" in said for said in full.said)
    assert "cores part" in {rule for rule, _ in errors(full.design)}


def test_what_was_taken_apart_stays_apart() -> None:
    (uid,) = (uid for uid, row in LAID.cable.items() if row.kind == "cable of cores")
    again = propose(done(LAID, cables.dissolve(uid)), CATALOGUE).design
    assert uid not in again.cable


def test_one_of_three_cores_is_taken_out() -> None:
    own = [need(name, "single wires", kind="resistive", rating=2.0) for name in ("pump", "lamp")]
    design = propose(asked(*own), CATALOGUE).design
    uids = [
        link.uid
        for link in design.link.values()
        if link.route == ("r1",) and design.circuit[link.circuit_uid].need_uid
    ]
    laid = done(design, cables.lay(uids, "cable of cores"))
    (cable,) = laid.cable.values()
    assert len({link.core for link in laid.link.values() if link.cable_uid}) == len(uids) == 4
    less = done(laid, cables.take_out(uids[0]))
    assert less.link[uids[0]].cable_uid is None
    part = single_cables(less, CATALOGUE)[less.link[uids[0]].csa_mm2 or 0.0]
    assert less.link[uids[0]].cable_part_uid == part.uid
    assert sum(link.cable_uid == cable.uid for link in less.link.values()) == 3


def test_a_two_core_cable_goes_with_one_of_its_wires() -> None:
    feed, back = links_in(LAID, "cable of cores")
    apart = done(LAID, cables.take_out(feed.uid))
    assert feed.cable_uid not in apart.cable
    assert apart.link[back.uid].cable_uid is None


def test_another_cable_brings_its_section_and_colours() -> None:
    feed, _ = links_in(LAID, "cable of cores")
    changed = done(LAID, cables.change_part(feed.cable_uid or "", "cores-class5-tinned-5x2.5"))
    assert changed.link[feed.uid].csa_mm2 == 2.5
    assert changed.link[feed.uid].cable_part_uid == "cores-class5-tinned-5x2.5"
    back = done(changed, cables.change_part(feed.cable_uid or "", None))
    assert back.cable[feed.cable_uid or ""].by_hand == ()


def _refused(field: str, design: Design, edit: Editing) -> str:
    with pytest.raises(Refused) as refused:
        edit(design, CATALOGUE)
    assert refused.value.field == field
    return refused.value.sentence


def test_what_cannot_be_laid_together_is_refused_in_words() -> None:
    feed, back = feed_and_back()
    other = next(link.uid for link in SINGLE.link.values() if link.route == ("r0",))
    assert "two wires" in _refused("wires", SINGLE, cables.lay([feed], "twisted pair"))
    assert "different runs" in _refused("wires", SINGLE, cables.lay([feed, other], "twisted pair"))
    assert "has no screen" in _refused(
        "part_uid",
        SINGLE,
        cables.lay([feed, back], "screened cable", "cores-class5-tinned-2x1.5"),
    )
    assert "conductor and finish" in _refused(
        "part_uid", SINGLE, cables.lay([feed, back], "cable of cores", "cores-vehicle-plain-2x1")
    )
    laid = links_in(PLUGGED, "cable of cores")
    assert "take it out of it first" in _refused(
        "wires", PLUGGED, cables.lay([link.uid for link in laid], "twisted pair")
    )


CORE_EDITS: dict[str, Callable[[str], Editing]] = {
    "csa_mm2": lambda uid: wires.section(uid, 6.0),
    "cable_part_uid": lambda uid: wires.cable(uid, "cable-class5-tinned-6"),
    "main": lambda uid: wires.colour(uid, "main", "green"),
    "own_lead": lambda uid: wires.flag(uid, "own_lead", True),
}


@pytest.mark.parametrize("field", CORE_EDITS)
def test_a_core_is_as_its_cable_is(field: str) -> None:
    uid = links_in(LAID, "cable of cores")[0].uid
    assert "able 2" in _refused(field, LAID, CORE_EDITS[field](uid))


def test_a_cable_goes_with_the_last_of_its_wires() -> None:
    cores = links_in(LAID, "screened cable")
    bare = done(LAID, *(remove_wire(link.uid) for link in cores if link.core != SCREEN))
    assert cores[0].cable_uid not in bare.cable
    assert not [link for link in bare.link.values() if link.core == SCREEN]


def test_the_customers_own_lead_is_cut_by_no_plug() -> None:
    feed, _ = feed_and_back()
    assert any(each.link_uid == feed for each in SINGLE.crossing.values())
    own = done(SINGLE, wires.flag(feed, "own_lead", True))
    assert not any(each.link_uid == feed for each in own.crossing.values())
    ends = [row for row in own.wire_end.values() if row.link_uid == feed]
    assert len(ends) == 2
    assert {end.terminal_part_uid for end in ends} == {None}
