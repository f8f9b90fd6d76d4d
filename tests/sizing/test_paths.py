"""Paths through a loom, by hand on small graphs (source: drawn and traced on paper)."""

import math

import pytest

from webapp.sizing.paths import (
    Edge,
    Graph,
    LoadPath,
    load_paths,
    protection_a,
    shorting_diodes,
    unprotected_mm,
)

# Battery + -> fuse A 30 -> junction -> fuse B 5 -> lamp -> battery -.
#                                  -> motor -> battery -.
EDGES = [
    Edge("battery", "+", "-", "source"),
    Edge("w1", "+", "fa", "wire", weight=150),
    Edge("A", "fa", "ja", "fuse", fuse_a=30),
    Edge("w2", "ja", "j", "wire", weight=2000),
    Edge("w3", "j", "fb", "wire", weight=100),
    Edge("B", "fb", "fo", "fuse", fuse_a=5),
    Edge("w4", "fo", "lamp+", "wire", weight=800),
    Edge("lamp", "lamp+", "lamp-", "load"),
    Edge("w5", "lamp-", "-", "wire", weight=900),
    Edge("w6", "j", "m+", "wire", weight=700),
    Edge("motor", "m+", "m-", "load"),
    Edge("w7", "m-", "-", "wire", weight=950),
]


def test_each_load_finds_its_way_out_and_back() -> None:
    paths = {path.load_uid: path for path in load_paths(Graph.of(EDGES), [("+", "-")], "positive")}
    assert paths["lamp"].feed == ("w4", "B", "w3", "w2", "A", "w1")
    assert paths["lamp"].back == ("w5",)
    assert paths["motor"].feed == ("w6", "w2", "A", "w1")
    assert paths["motor"].complete


def test_the_shorter_of_two_feeds_is_taken() -> None:
    twice = [*EDGES, Edge("short", "ja", "m+", "wire", weight=300)]
    paths = {path.load_uid: path for path in load_paths(Graph.of(twice), [("+", "-")], "positive")}
    assert paths["motor"].feed == ("short", "A", "w1")


def test_a_cut_return_is_seen() -> None:
    cut = [edge for edge in EDGES if edge.uid != "w7"]
    paths = {path.load_uid: path for path in load_paths(Graph.of(cut), [("+", "-")], "positive")}
    assert paths["motor"].back is None
    assert not paths["motor"].complete


def test_current_does_not_pass_through_other_loads() -> None:
    dead = [edge for edge in EDGES if edge.uid not in ("w6",)]
    paths = {path.load_uid: path for path in load_paths(Graph.of(dead), [("+", "-")], "positive")}
    assert paths["motor"].feed is None


def test_a_load_connected_the_other_way_round_is_told() -> None:
    turned = [edge for edge in EDGES if edge.uid != "lamp"]
    turned.append(Edge("lamp", "lamp-", "lamp+", "load"))
    paths = {path.load_uid: path for path in load_paths(Graph.of(turned), [("+", "-")], "positive")}
    assert paths["lamp"].reversed
    assert paths["lamp"].complete


def test_the_weakest_fuse_link_on_the_way_protects() -> None:
    protection = protection_a(Graph.of(EDGES), ["+"])
    assert protection["fa"] == math.inf
    assert protection["m+"] == 30
    assert protection["lamp+"] == 5
    assert "lamp-" not in protection


def test_a_fuse_link_of_unknown_rating_protects_nothing() -> None:
    edges = [
        Edge("unrated", "+", "board", "fuse"),
        Edge("rated", "board", "behind", "fuse", fuse_a=12),
        Edge("w", "behind", "lamp", "wire"),
    ]
    found = protection_a(Graph.of(edges), ["+"])
    assert math.isinf(found["board"])
    assert found["lamp"] == 12


def test_a_second_unfused_feed_takes_the_protection_away() -> None:
    bridged = [*EDGES, Edge("bare", "+", "m+", "wire", weight=400)]
    protection = protection_a(Graph.of(bridged), ["+"])
    assert protection["m+"] == math.inf


def test_unprotected_wire_is_measured_to_its_far_end() -> None:
    assert unprotected_mm(Graph.of(EDGES), ["+"]) == {"w1": 150}


# Diodes. A lamp lit from either of two feeds, through a diode each; a coil with its own across it.
DIODES = [
    Edge("battery", "+", "-", "source"),
    Edge("w1", "+", "l", "wire", weight=500),
    Edge("w2", "+", "r", "wire", weight=900),
    Edge("left", "l", "k", "diode"),
    Edge("right", "r", "k", "diode"),
    Edge("lamp", "k", "lamp-", "load"),
    Edge("w3", "lamp-", "-", "wire", weight=800),
    Edge("relay", "86", "85", "coil"),
    Edge("across", "85", "86", "diode"),
    Edge("w4", "+", "86", "wire", weight=700),
    Edge("w5", "85", "-", "wire", weight=600),
]
BATTERY = [("+", "-")]


def by_load(edges: list[Edge], feed_pole: str = "positive") -> dict[str, LoadPath]:
    return {path.load_uid: path for path in load_paths(Graph.of(edges), BATTERY, feed_pole)}


def turned(uid: str) -> list[Edge]:
    return [
        Edge(edge.uid, edge.b, edge.a, edge.kind) if edge.uid == uid else edge for edge in DIODES
    ]


def test_a_diode_is_passed_from_its_anode() -> None:
    assert by_load(DIODES)["lamp"].feed == ("left", "w1")


def test_a_diode_the_other_way_round_lets_nothing_through() -> None:
    assert by_load(turned("left"))["lamp"].feed == ("right", "w2")
    both = [edge for edge in turned("left") if edge.uid != "right"]
    assert by_load(both)["lamp"].feed is None


def test_from_the_negative_pole_a_diode_is_entered_at_its_cathode() -> None:
    """On a positive earth: the return to + is passed the way that current goes, out of +."""
    back = [
        Edge("battery", "+", "-", "source"),
        Edge("w1", "-", "a", "wire", weight=400),
        Edge("lamp", "b", "a", "load"),
        Edge("into", "b", "k", "diode"),
        Edge("w2", "k", "+", "wire", weight=300),
    ]
    assert by_load(back, "negative")["lamp"].back is None
    right = [Edge("into", "k", "b", "diode") if each.uid == "into" else each for each in back]
    path = by_load(right, "negative")["lamp"]
    assert path.back == ("into", "w2")
    assert path.feed == ("w1",)
    # In the feed of a positive-earth loom the diode leads from the lamp to −.
    fed = [
        Edge("w1", "-", "k", "wire", weight=400),
        Edge("out", "a", "k", "diode"),
        Edge("lamp", "b", "a", "load"),
        Edge("w2", "b", "+", "wire", weight=300),
    ]
    assert by_load(fed, "negative")["lamp"].feed == ("out", "w1")
    assert protection_a(Graph.of(fed), ["-"], "negative").keys() == {"-", "k", "a"}
    assert protection_a(Graph.of(fed), ["-"], "positive").keys() == {"-", "k"}


def test_a_coil_diode_is_no_path_the_right_way_round_and_a_short_the_wrong_way() -> None:
    assert shorting_diodes(Graph.of(DIODES), "+", "-") == []
    assert shorting_diodes(Graph.of(turned("across")), "+", "-") == ["across"]
    assert by_load(DIODES)["relay"].feed == ("w4",)
    assert protection_a(Graph.of(DIODES), ["+"]).keys() == {"+", "l", "r", "k", "86"}


def test_a_resistor_in_line_is_a_way_through() -> None:
    edges = [
        Edge("w1", "+", "a", "wire", weight=500),
        Edge("ballast", "a", "b", "resistor"),
        Edge("coil", "b", "-", "load"),
    ]
    assert by_load(edges)["coil"].feed == ("ballast", "w1")


# Change-overs and several batteries.


def test_a_change_over_is_not_passed_from_one_output_to_the_other() -> None:
    """Dip is fed besides through a tell-tale's wire: that must not feed main through the switch."""
    edges = [
        Edge("a", "in", "main", "contact", change_over="dip switch"),
        Edge("b", "in", "dip", "contact", change_over="dip switch"),
        Edge("w1", "+", "dip", "wire", weight=100),
        Edge("lamp", "main", "-", "load"),
    ]
    assert by_load(edges)["lamp"].feed is None
    assert "main" not in protection_a(Graph.of(edges), ["+"])
    assert unprotected_mm(Graph.of(edges), ["+"]) == {"w1": 100}


def test_each_load_belongs_to_the_battery_nearest_by_wire() -> None:
    edges = [
        Edge("w1", "+", "a", "wire", weight=500),
        Edge("link", "+", "+2", "wire", weight=2000),
        Edge("w2", "+2", "b", "wire", weight=300),
        Edge("back", "-", "-2", "wire", weight=2000),
        Edge("near", "a", "-", "load"),
        Edge("far", "b", "-2", "load"),
    ]
    found = {
        path.load_uid: path
        for path in load_paths(Graph.of(edges), [("+", "-"), ("+2", "-2")], "positive")
    }
    assert found["near"].supply == 0
    assert found["far"].supply == 1
    assert found["far"].edges == ("w2",)


def test_what_leaves_any_battery_is_measured_from_there() -> None:
    edges = [
        Edge("w1", "+", "a", "wire", weight=150),
        Edge("A", "a", "b", "fuse", fuse_a=40),
        Edge("link", "b", "c", "wire", weight=3000),
        Edge("B", "d", "c", "fuse", fuse_a=30),
        Edge("w2", "+2", "d", "wire", weight=180),
    ]
    graph = Graph.of(edges)
    assert unprotected_mm(graph, ["+", "+2"]) == {"w1": 150, "w2": 180}
    # Each battery feeds the link through its own fuse-link; the larger one counts.
    assert protection_a(graph, ["+", "+2"])["c"] == 40


def test_what_only_a_charging_machine_feeds_is_told() -> None:
    edges = [
        Edge("w1", "+", "B+", "wire", weight=500),
        Edge("out", "B+", "D+", "cut-out"),
        Edge("field", "D+", "-", "field"),
        Edge("lamp", "+", "D+", "load"),
        Edge("coil", "D+", "-", "coil"),
    ]
    found = by_load(edges)
    assert found["lamp"].complete
    assert not found["lamp"].charging
    assert found["coil"].charging
    assert found["coil"].feed == ("out", "w1")


@pytest.mark.parametrize("pole", ["positive", "negative"])
def test_fuse_links_behind_diodes_add_up(pole: str) -> None:
    """Two fuse-links of 3 A and 5 A feed one lamp through a diode each: a short at the lamp draws
    through both, one at either feed through its own alone."""
    straight = pole == "positive"
    edges = [
        Edge("f1", "pole", "a", "fuse", fuse_a=3.0),
        Edge("f2", "pole", "b", "fuse", fuse_a=5.0),
        Edge("d1", *(("a", "c") if straight else ("c", "a")), "diode"),
        Edge("d2", *(("b", "c") if straight else ("c", "b")), "diode"),
        Edge("w", "c", "lamp", "wire", 100.0),
        Edge("load", "lamp", "earth", "load"),
    ]
    found = protection_a(Graph.of(edges), ["pole"], pole)
    assert (found["a"], found["b"]) == (3.0, 5.0)
    assert found["c"] == found["lamp"] == 8.0


def test_a_fuse_link_behind_the_diodes_limits_them_all() -> None:
    edges = [
        Edge("f1", "pole", "a", "fuse", fuse_a=10.0),
        Edge("f2", "pole", "b", "fuse", fuse_a=10.0),
        Edge("d1", "a", "c", "diode"),
        Edge("d2", "b", "c", "diode"),
        Edge("f3", "c", "lamp", "fuse", fuse_a=2.0),
    ]
    found = protection_a(Graph.of(edges), ["pole"])
    assert found["c"] == 20.0
    assert found["lamp"] == 2.0
