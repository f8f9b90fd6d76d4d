"""Paths through a loom, by hand on small graphs (source: drawn and traced on paper)."""

import math

from webapp.sizing.paths import Edge, Graph, load_paths, protection_a, unprotected_mm

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


def test_a_second_unfused_feed_takes_the_protection_away() -> None:
    bridged = [*EDGES, Edge("bare", "+", "m+", "wire", weight=400)]
    protection = protection_a(Graph.of(bridged), ["+"])
    assert protection["m+"] == math.inf


def test_unprotected_wire_is_measured_to_its_far_end() -> None:
    assert unprotected_mm(Graph.of(EDGES), ["+"]) == {"w1": 150}
