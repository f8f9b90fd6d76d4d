"""Plugs at every kind of place, and which way each wire gets."""

from dataclasses import replace
from typing import Any

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.defaults import first_basis
from webapp.stages.design.editing import plugs
from webapp.stages.design.editing.edit import Edit
from webapp.stages.design.halves import halves_at, spare_labels
from webapp.stages.design.proposal import propose
from webapp.stages.design.proposal.plug_filling import (
    Passing,
    into_plugs,
    neighbouring,
    side_by_side,
)
from webapp.stages.design.rows import Bridge, Circuit, Design, Fitting, Link, Place, Run, Way
from webapp.stages.design.wires import wires
from webapp.stages.refusals import Refused

PAIRS = [part for part in CATALOGUE.kind("plug and socket") if not part.text("sealed")]
ROUTES = {"left": ("trunk", "to left"), "right": ("trunk", "to right"), "fork": ("trunk",)}


def fork(*wanted: dict[str, Any]) -> Design:
    """A trunk from the box to a fork with two branches; each link leads from the box to `to`."""
    places = {name: Place(uid=name, name=name) for name in ("box", "fork", "left", "right")}
    runs = {
        uid: Run(uid=uid, from_place_uid=a, to_place_uid=b, length_mm=1000)
        for uid, a, b in (
            ("trunk", "box", "fork"),
            ("to left", "fork", "left"),
            ("to right", "right", "fork"),
        )
    }
    fittings = {
        name: Fitting(uid=name, place_uid=name, name=name, kind="terminals") for name in places
    }
    ways, links, circuits = {}, {}, {}
    for number, each in enumerate(wanted, start=1):
        given = dict(each)
        to = given.pop("to", "left")
        for place in ("box", to):
            uid = f"{place} {number}"
            ways[uid] = Way(uid=uid, fitting_uid=place, label=str(number), contact="stud M5")
        circuit = given.setdefault("circuit_uid", f"circuit {number}")
        circuits[circuit] = Circuit(uid=circuit, number=number, name=circuit)
        values = {"csa_mm2": 1.5, "route": ROUTES[to], **given}
        links[f"link {number}"] = Link(
            uid=f"link {number}", number=number, from_way_uid=f"box {number}",
            to_way_uid=f"{to} {number}", **values,
        )  # fmt: skip
    return Design(
        12, "insulated return", "craft", first_basis(12, "craft"), place=places, run=runs,
        fitting=fittings, way=ways, link=links, circuit=circuits,
    )  # fmt: skip


def crossed(after: Design) -> dict[str, str]:
    """The label of each link's way, where there is one plug alone."""
    return {each.link_uid: after.way[each.way_a_uid].label for each in after.crossing.values()}


def words(edit: Edit) -> str:
    return " ".join(edit.said)


# Places


@pytest.mark.parametrize(
    ("place", "run", "expected"),
    [
        ("fork", "trunk", {"link 1", "link 2", "link 3"}),
        ("fork", "to left", {"link 1"}),
        ("fork", "to right", {"link 2"}),
        ("left", "to left", {"link 1"}),
        ("box", "trunk", {"link 1", "link 2", "link 3"}),
    ],
)
def test_at_a_breakout_or_an_end_the_wires_of_that_run_alone_get_ways(
    place: str, run: str, expected: set[str]
) -> None:
    before = fork({}, {"to": "right"}, {"to": "fork"})
    after = plugs.put_in(place, run)(before, CATALOGUE).design
    assert set(crossed(after)) == expected
    for wire in wires(after):
        if wire.link.uid not in expected:
            assert wire.length_mm is not None
            assert wire.segment == 0
    (half,) = [each for each in after.fitting.values() if each.kind == "socket"]
    assert (half.place_uid, half.run_uid) == (place, run)


def test_a_plug_on_every_branch_of_a_fork_leaves_each_wire_in_order() -> None:
    after = fork({}, {"to": "right"})
    for run in ("to right", "trunk", "to left"):
        after = plugs.put_in("fork", run)(after, CATALOGUE).design
    for link in after.link.values():
        parts = [wire for wire in wires(after) if wire.link.uid == link.uid]
        assert [wire.route for wire in parts] == [link.route[:1], (), link.route[1:]]
        halves = [
            after.fitting[after.way[end.way_uid or ""].fitting_uid].run_uid
            for wire in parts
            for end in wire.ends
        ]
        assert halves == [None, "trunk", None, None, link.route[1], None]


def test_a_loose_end_beyond_a_plug_keeps_its_tail() -> None:
    before = fork({}, {})
    link = replace(before.link["link 1"], to_way_uid=None)
    before = replace(before, link={**before.link, link.uid: link})
    after = plugs.put_in("left", "to left")(before, CATALOGUE).design
    parts = [wire for wire in wires(after) if wire.link.uid == link.uid]
    assert len(parts) == 2
    assert parts[1].right.loose
    assert parts[1].route == ()


# What stays whole


def test_what_no_plug_takes_stays_whole_and_is_named() -> None:
    before = fork(
        {"csa_mm2": 120.0}, {"own_lead": True}, {"starter_cable": True}, {"csa_mm2": None}, {}
    )
    edit = plugs.put_in("fork", "trunk")(before, CATALOGUE)
    assert set(crossed(edit.design)) == {"link 5"}
    for sentence in (
        "Wire 1 passes the plug at fork uncut: no plug in the catalogue takes its 120 mm²",
        "Wire 2 passes the plug at fork uncut: it is the customer's own lead.",
        "Wire 3 passes the plug at fork uncut: it is a starter cable.",
        "Wire 4 passes the plug at fork uncut: it has no section yet.",
    ):
        assert sentence in words(edit)
    with pytest.raises(Refused, match="it is a starter cable"):
        plugs.put_in("fork", "trunk")(fork({"starter_cable": True}), CATALOGUE)


def test_thick_wires_get_a_plug_of_their_own_kind() -> None:
    after = plugs.put_in("fork", "trunk")(fork({"csa_mm2": 16.0}, {}, {}), CATALOGUE).design
    parts = {each.part_uid for each in after.fitting.values() if each.kind == "socket"}
    assert any("heavy" in (uid or "") for uid in parts)
    assert len(parts) == 2


def test_a_sealed_plug_is_put_in_where_it_is_asked_for() -> None:
    after = plugs.put_in("fork", "trunk", sealed=True)(fork({}, {}), CATALOGUE).design
    assert {each.part_uid for each in after.fitting.values() if each.mate_uid} == {
        "plug-sealed-2.8-2"
    }
    with pytest.raises(Refused, match="no sealed plug in the catalogue takes its 16 mm²"):
        plugs.put_in("fork", "trunk", sealed=True)(fork({"csa_mm2": 16.0}), CATALOGUE)


def test_a_splice_that_is_set_back_into_the_run_is_named() -> None:
    before = fork({"to": "fork"}, {})
    splice = replace(
        before.fitting["fork"], kind="splice", name="Splice", along_run_uid="trunk", along_mm=60
    )
    before = replace(before, fitting={**before.fitting, "fork": splice})
    assert "Splice is set back into this run" in words(
        plugs.put_in("fork", "trunk")(before, CATALOGUE)
    )
    assert "Splice is" not in words(plugs.put_in("fork", "to left")(before, CATALOGUE))


# Spare ways and several plugs


def test_new_wires_go_through_spare_ways_before_a_new_plug_comes() -> None:
    first = plugs.put_in("fork", "trunk")(fork({}, {}, {}, {}, {}), CATALOGUE).design
    (half,) = halves_at(first, "trunk", "fork")
    assert spare_labels(first, half) == ["6"]
    more = fork({}, {}, {}, {}, {}, {}, {})
    grown = replace(first, link=more.link, circuit=more.circuit, way={**more.way, **first.way})
    edit = plugs.put_in("fork", "trunk")(grown, CATALOGUE)
    assert crossed(edit.design)["link 6"] == "6"
    assert spare_labels(edit.design, half) == []
    assert "Wire 6 goes through way 6 of Fork plug" in words(edit)
    assert len(halves_at(edit.design, "trunk", "fork")) == 2
    alone = plugs.put_in("fork", "trunk")(
        replace(grown, link={uid: row for uid, row in more.link.items() if uid != "link 7"}),
        CATALOGUE,
    )
    assert alone.sentence == "Lead wires through the plug at fork"
    assert len(halves_at(alone.design, "trunk", "fork")) == 1


def test_more_wires_than_the_largest_plug_has_ways_get_several() -> None:
    edit = plugs.put_in("fork", "trunk")(fork(*[{} for _ in range(15)]), CATALOGUE)
    halves = halves_at(edit.design, "trunk", "fork")
    assert [len(edit.design.ways_of[half.uid]) for half in halves] == [6, 6, 3]
    assert len(edit.design.crossing) == 15
    assert edit.sentence == "Put in 3 plugs and sockets at fork"
    assert [half.name for half in halves] == [f"Fork plug {n}, socket half" for n in (1, 2, 3)]


def lamps(count: int) -> Design:
    return design([lamp(f"lamp{n}", name=f"Lamp {n}") for n in range(count)])


def test_a_proposal_leads_new_wires_through_the_spare_ways_of_a_plug_put_in_by_hand() -> None:
    first = propose(lamps(3), CATALOGUE).design
    plugged = plugs.put_in("bow", "r1")(first, CATALOGUE).design
    (half,) = halves_at(plugged, "r1", "bow")
    assert spare_labels(plugged, half) == []
    fewer = propose(replace(plugged, need=lamps(2).need), CATALOGUE).design
    spare = spare_labels(fewer, half)
    assert len(spare) == 2
    again = propose(replace(fewer, need=lamps(4).need), CATALOGUE)
    after = again.design
    passing = {uid for uid, link in after.link.items() if "r1" in (link.route or ())}
    new = passing - fewer.link.keys()
    through = {each.link_uid for each in after.crossing.values()}
    said = " ".join(each.sentence for each in again.assumed)
    assert len(new) == 4
    assert len(new & through) == len(spare)
    for uid in new - through:
        assert f"Wire {after.link[uid].number} passes the plug at bow uncut: none there" in said
    assert spare_labels(after, half) == []
    for uid in fewer.crossing:
        assert after.crossing[uid] == fewer.crossing[uid]
    assert propose(after, CATALOGUE).design.crossing == after.crossing


# Which way


def loads(before: Design, **of: tuple[str, str]) -> Design:
    """Loads at the left end: each between the ways of two links."""
    after = before
    for name, (a, b) in of.items():
        fitting = Fitting(uid=name, place_uid="left", name=name, kind="load")
        ways = [Way(uid=f"{name} {end}", fitting_uid=name, label=end, contact="x") for end in "+-"]
        bridge = Bridge(
            uid=name, fitting_uid=name, way_a_uid=f"{name} +", way_b_uid=f"{name} -", kind="load"
        )
        feed = replace(after.link[a], to_way_uid=f"{name} +")
        back = replace(after.link[b], to_way_uid=f"{name} -")
        after = replace(
            after,
            fitting={**after.fitting, name: fitting},
            way={**after.way, **{way.uid: way for way in ways}},
            bridge={**after.bridge, name: bridge},
            link={**after.link, a: feed, b: back},
        )
    return after


def order(design: Design, **amps: float) -> list[list[str]]:
    passing = [
        Passing(link, True, amps.get(uid.replace(" ", "_"), 0.0))
        for uid, link in design.link.items()
    ]
    return [[item.link.uid for item in group] for group in side_by_side(design, passing)]


def test_the_heaviest_comes_first_with_its_return_beside_it() -> None:
    one = {"circuit_uid": "lamps"}
    before = loads(fork(one, one, one, one, {}), a=("link 1", "link 3"), b=("link 2", "link 4"))
    found = order(before, link_1=4.0, link_2=9.0, link_3=4.0, link_4=9.0, link_5=6.0)
    assert found == [["link 2", "link 4"], ["link 5"], ["link 1", "link 3"]]


def test_without_a_load_in_common_the_other_wire_of_the_circuit_is_the_mate() -> None:
    before = fork({"circuit_uid": "pump"}, {}, {"circuit_uid": "pump"})
    assert order(before, link_1=8.0, link_2=5.0, link_3=1.0) == [["link 1", "link 3"], ["link 2"]]


def test_cores_of_one_cable_stay_side_by_side() -> None:
    core = {"cable_uid": "cable"}
    before = fork(
        {**core, "core": "brown"}, {}, {**core, "core": "blue"}, {**core, "core": "black"}
    )
    found = order(before, link_1=2.0, link_2=5.0, link_4=1.0)
    assert found == [["link 2"], ["link 1", "link 4", "link 3"]]
    after = plugs.put_in("fork", "trunk")(before, CATALOGUE).design
    labels = sorted(int(crossed(after)[uid]) for uid in ("link 1", "link 3", "link 4"))
    assert labels == list(range(labels[0], labels[0] + 3))


def test_a_pair_is_not_parted_between_two_plugs() -> None:
    pairs = [{"circuit_uid": f"c{n // 2}"} for n in range(14)]
    before = fork(*pairs[:-1], *pairs[-1:], {})
    groups = side_by_side(before, [Passing(link, True, 1.0) for link in before.link.values()])
    filled, uncut = into_plugs(CATALOGUE, PAIRS, groups)
    assert not uncut
    assert sum(plug.used for plug in filled) == 15
    for plug in filled:
        assert plug.used <= plug.part.number("plug_ways")
        for group in plug.items:
            assert len({item.link.circuit_uid for item in group}) == 1
    circuits = [
        {item.link.circuit_uid for group in plug.items for item in group} for plug in filled
    ]
    assert all(not (one & two) for one in circuits for two in circuits if one is not two)


def test_a_group_takes_neighbouring_free_ways_where_there_are_any() -> None:
    labels = ["1", "2", "3", "4", "5", "6"]
    assert neighbouring(["1", "3", "4", "6"], labels, 2) == ["3", "4"]
    assert neighbouring(["1", "3", "5"], labels, 2) == ["1", "3"]
    assert neighbouring(["2"], labels, 3) == ["2"]
    assert neighbouring(labels, labels, 0) == []
