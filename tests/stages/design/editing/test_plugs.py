"""Plugs put in and taken out by hand."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, any_list, design, lamp
from webapp.stages.design.editing import ends, plugs, wires
from webapp.stages.design.editing.settling import segments
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires as wires_of
from webapp.stages.refusals import Refused


def lamps(count: int = 3, **basis: object) -> Design:
    needs = [lamp(f"lamp{n}", name=f"Lamp {n}") for n in range(count)]
    return propose(design(needs, **basis), CATALOGUE).design  # type: ignore[arg-type]


def seen(after: Design) -> list[object]:
    return [
        (wire.uid, wire.number, wire.length_mm, wire.route,
         *((end.uid, end.way_uid, replace(end.made, version=0, position=0))
           for end in wire.ends))
        for wire in wires_of(after)
    ]  # fmt: skip


def only_by_hand(design: Design) -> dict[str, object]:
    return {uid: link.lengths_mm for uid, link in design.link.items()}


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 10_000), pick=st.integers(0, 10_000), mm=st.integers(100, 9000))
def test_plug_in_plug_out_leaves_the_wires_as_they_were(seed: int, pick: int, mm: int) -> None:
    before = propose(any_list(seed, 5, 12, "insulated return", "craft"), CATALOGUE).design
    if before.link:
        some = list(before.link)[pick % len(before.link)]
        before = wires.length(some, 0, mm)(before, CATALOGUE).design
    run = list(before.run.values())[pick % len(before.run)]
    place = run.to_place_uid if pick % 2 else run.from_place_uid
    try:
        plugged = plugs.put_in(place, run.uid)(before, CATALOGUE).design
    except Refused:
        return
    new = [uid for uid in plugged.fitting if uid not in before.fitting]
    assert len(wires_of(plugged)) > len(wires_of(before))
    out = plugged
    for uid in new:
        if uid in out.fitting:
            out = plugs.take_out(uid)(out, CATALOGUE).design
    assert seen(out) == seen(before)
    assert only_by_hand(out) == only_by_hand(before)
    assert out.fitting == before.fitting
    assert out.way == before.way
    assert out.crossing == before.crossing
    assert not set(out.removed) - set(before.removed)


def test_a_plug_gives_the_heaviest_its_first_ways_and_says_what_is_spare() -> None:
    before = lamps()
    edit = plugs.put_in("bow", "r1")(before, CATALOGUE)
    (socket,) = [half for half in edit.design.fitting.values() if half.kind == "socket"]
    passing = {link.uid for link in before.link.values() if "r1" in (link.route or ())}
    assert {each.link_uid for each in edit.design.crossing.values()} == passing
    assert any(f"{len(passing)} of 6 ways used" in sentence for sentence in edit.said)
    halves = {edit.design.way[each.way_a_uid].label for each in edit.design.crossing.values()}
    assert len(halves) == len(passing)
    for each in edit.design.crossing.values():
        a, b = edit.design.way[each.way_a_uid], edit.design.way[each.way_b_uid]
        assert a.label == b.label
        assert edit.design.fitting[a.fitting_uid].mate_uid == b.fitting_uid
    assert socket.run_uid == "r1"


def test_a_second_plug_there_is_refused_while_every_wire_has_one() -> None:
    edit = plugs.put_in("bow", "r1")(lamps(), CATALOGUE)
    with pytest.raises(Refused, match="No plug was put in"):
        plugs.put_in("bow", "r1")(edit.design, CATALOGUE)


def test_a_length_by_hand_waits_while_its_wire_is_cut() -> None:
    before = lamps()
    link = next(link for link in before.link.values() if link.route == ("r1",))
    held = wires.length(link.uid, 0, 1234)(before, CATALOGUE).design
    edit = plugs.put_in("bow", "r1")(held, CATALOGUE)
    parts = segments(edit.design, edit.design.link[link.uid])
    assert [wire.length_mm for wire in parts] != [1234, 1234]
    assert all(wire.length_mm != 1234 for wire in parts)
    assert any("length set by hand" in sentence for sentence in edit.said)
    half = next(uid for uid in edit.design.fitting if uid not in before.fitting)
    out = plugs.take_out(half)(edit.design, CATALOGUE).design
    assert [wire.length_mm for wire in segments(out, out.link[link.uid])] == [1234]


def test_a_proposed_plug_taken_out_stays_out() -> None:
    proposed = lamps(plug_place_uids=("helm",))
    half = next(half for half in proposed.fitting.values() if half.kind == "socket")
    out = plugs.take_out(half.uid)(proposed, CATALOGUE).design
    assert not out.crossing
    again = propose(out, CATALOGUE)
    assert not again.design.crossing
    assert any("stays removed" in named.sentence for named in again.assumed)


def test_a_wire_changes_places_with_the_one_in_its_new_way() -> None:
    before = plugs.put_in("bow", "r1")(lamps(), CATALOGUE).design
    one, two = list(before.crossing.values())[:2]
    half = before.fitting[before.way[one.way_a_uid].fitting_uid]
    socket = half if half.run_uid else before.fitting[half.mate_uid or ""]
    label = ends.label_of(before, two)
    edit = ends.plug_way(one.uid, socket.uid, label)(before, CATALOGUE)
    after = edit.design.crossing
    assert ends.label_of(edit.design, after[one.uid]) == label
    assert ends.label_of(edit.design, after[two.uid]) == ends.label_of(before, one)
    for uid in (one.uid, two.uid):
        ways = [edit.design.way[way] for way in (after[uid].way_a_uid, after[uid].way_b_uid)]
        assert ways[0].label == ways[1].label
    assert any("in exchange" in sentence for sentence in edit.said)


def test_a_way_of_a_proposed_plug_chosen_by_hand_is_kept_by_the_next_proposal() -> None:
    before = lamps(plug_place_uids=("helm",))
    crossing = next(iter(before.crossing.values()))
    half = before.fitting[before.way[crossing.way_a_uid].fitting_uid]
    socket = half if half.run_uid else before.fitting[half.mate_uid or ""]
    spare = before.ways_of[socket.uid][-1].label
    moved = ends.plug_way(crossing.uid, socket.uid, spare)(before, CATALOGUE).design
    again = propose(moved, CATALOGUE).design
    assert ends.label_of(again, again.crossing[crossing.uid]) == spare
    used = [each.way_a_uid for each in again.crossing.values()]
    assert len(used) == len(set(used))


def test_a_wire_typed_later_takes_a_spare_way_of_the_plug_in_its_path() -> None:
    before = lamps(2)
    plugged = plugs.put_in("bow", "r1")(before, CATALOGUE).design
    link = next(link for link in plugged.link.values() if link.route == ("r1",))
    loose = ends.to_loose(link.uid, "to", "helm")(plugged, CATALOGUE)
    assert not [each for each in loose.design.crossing.values() if each.link_uid == link.uid]
    assert any("no longer passes" in sentence for sentence in loose.said)
    back = ends.to_way(link.uid, "to", link.to_way_uid or "")(loose.design, CATALOGUE)
    assert [each for each in back.design.crossing.values() if each.link_uid == link.uid]
    assert any("goes through way" in sentence for sentence in back.said)
