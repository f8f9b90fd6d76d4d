"""Two revisions side by side: what is said of them, and when they are the same."""

from collections import Counter
from dataclasses import fields, replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, any_list, design, lamp
from webapp.stages.design.comparing import Comparison, Value, compare, fingerprint
from webapp.stages.design.proposal import propose
from webapp.stages.design.row_words import KEEPING, label
from webapp.stages.design.rows import ROW_TYPES, Design

PARTS = CATALOGUE.parts


def loom(count: int = 3) -> Design:
    lamps = [lamp(f"lamp{n}", name=f"Lamp {n}") for n in range(count)]
    return propose(design(lamps, fuse_board_place_uid="battery box"), CATALOGUE).design


def swapped(comparison: Comparison) -> set[tuple[str, str, str, frozenset[Value]]]:
    """As it would read the other way round."""
    other = {"added": "removed", "removed": "added", "changed": "changed"}
    return {
        (title, uid, other[what], frozenset(Value(v.label, v.after, v.before) for v in values))
        for title, uid, what, values in _all(comparison)
    }


def _all(comparison: Comparison) -> list[tuple[str, str, str, tuple[Value, ...]]]:
    rows = [("Wires", wire.uid, wire.what, wire.values) for wire in comparison.wires]
    for section in comparison.sections:
        rows += [(section.title, row.uid, row.what, row.values) for row in section.rows]
    return rows


def as_it_reads(comparison: Comparison) -> set[tuple[str, str, str, frozenset[Value]]]:
    return {(title, uid, what, frozenset(v)) for title, uid, what, v in _all(comparison)}


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_the_same_compares_empty_and_the_other_way_round_is_the_reverse(one: int, two: int) -> None:
    a, b = (
        propose(any_list(n, 1 + n % 9, 12, "negative earth", "vehicle"), CATALOGUE).design
        for n in (one, two)
    )
    assert compare(a, a, PARTS).empty
    assert fingerprint(a) == fingerprint(replace(a))
    there, back = compare(a, b, PARTS), compare(b, a, PARTS)
    assert as_it_reads(back) == swapped(there)
    if one != two:
        assert not there.empty
        assert fingerprint(a) != fingerprint(b)


def test_a_wire_is_told_value_by_value() -> None:
    before = loom()
    link = next(iter(before.link.values()))
    thicker = replace(link, csa_mm2=6.0, main="green", lengths_mm={"0": 9990}, starter_cable=True)
    after = replace(before, link=before.link | {link.uid: thicker})
    (wire,) = compare(before, after, PARTS).wires
    assert (wire.what, wire.uid) == ("changed", f"{link.uid}.0")
    told = {value.label: (value.before, value.after) for value in wire.values}
    assert told["conductor"] == (f"{link.csa_mm2:g} mm²", "6 mm²")
    assert told["length"][1] == "9,990 mm"
    assert told["starter cable"] == ("no", "yes")
    assert set(told) == {"conductor", "colour", "length", "starter cable"}
    assert not compare(before, after, PARTS).sections


def test_ends_route_and_fuse_link_of_a_wire_are_told() -> None:
    before = loom()
    link = max(before.link.values(), key=lambda one: len(one.route or ()))
    end = before.wire_end[f"{link.uid}:to"]
    fuses = [one for one in before.bridge.values() if one.kind == "fuse" and one.fuse_a]
    after = replace(
        before,
        link=before.link | {link.uid: replace(link, route=())},
        wire_end=before.wire_end | {end.uid: replace(end, strip_mm=9.5)},
        bridge=before.bridge | {one.uid: replace(one, fuse_a=1.5) for one in fuses},
    )
    found = compare(before, after, PARTS)
    wires = {wire.uid: {value.label for value in wire.values} for wire in found.wires}
    assert {"route", "length", "right end, strip"} <= wires[f"{link.uid}.0"]
    assert any("fuse-link" in labels for labels in wires.values())
    assert [section.title for section in found.sections] == ["Fuse-links"]
    told = {row.uid: row.values for row in found.sections[0].rows}
    assert told == {one.uid: (Value("fuse-link", f"{one.fuse_a:g} A", "1.5 A"),) for one in fuses}


def test_a_need_that_goes_takes_its_wires_and_what_hung_on_them() -> None:
    before, after = loom(3), loom(2)
    found = compare(before, after, PARTS)
    assert found.counted("removed") > 0
    assert found.counted("added") == 0
    titles = {section.title: section for section in found.sections}
    (need,) = titles["Needs"].rows
    assert (need.name, need.what) == ("Lamp 2", "removed")


def test_a_plug_put_in_adds_wires_and_keeps_the_first_pieces() -> None:
    lamps = [lamp("lamp0", name="Lamp")]
    before = propose(design(lamps), CATALOGUE).design
    after = propose(design(lamps, plug_place_uids=("helm",)), CATALOGUE).design
    found = compare(before, after, PARTS)
    added = {wire.uid for wire in found.wires if wire.what == "added"}
    assert added
    assert all(uid.endswith(".1") for uid in added)
    assert {wire.uid for wire in found.wires if wire.what == "changed"} >= {
        uid.replace(".1", ".0") for uid in added
    }


@pytest.mark.parametrize("table", ROW_TYPES)
def test_no_two_fields_of_a_row_share_a_label(table: str) -> None:
    names = [item.name for item in fields(ROW_TYPES[table]) if item.name not in KEEPING]
    counted = Counter(map(label, names))
    assert [name for name, count in counted.items() if count > 1] == []


def test_whose_hand_it_was_and_the_order_make_no_other_design() -> None:
    one = loom()
    need = next(iter(one.need.values()))
    other = replace(
        one,
        need=one.need | {need.uid: replace(need, version=9, by_hand=("name",), position=70)},
        basis=replace(one.basis, uid="another"),
        removed={},
    )
    assert fingerprint(one) == fingerprint(other)
    assert compare(one, other, PARTS).empty
    named = replace(one, need=one.need | {need.uid: replace(need, name="Another lamp")})
    assert fingerprint(one) != fingerprint(named)
    assert fingerprint(one) != fingerprint(replace(one, nominal_v=24))
