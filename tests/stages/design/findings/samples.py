"""Designs that the cases of the rules start from, and what can be made wrong in them."""

from dataclasses import replace
from typing import Any

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Link
from webapp.stages.design.wires import wires


def sound() -> Design:
    """Two lamps, one behind a relay, through a plug at the helm."""
    needs = [lamp(), lamp("two", name="Deck lamp", control="switch via relay", rating=30.0)]
    before = design(needs, plug_place_uids=("helm",), fuse_board_place_uid="battery box")
    return propose(before, CATALOGUE).design


SOUND = sound()


def plain() -> Design:
    """One lamp on a negative-earth machine: no fuse board, no plug, no second fuse-link."""
    before = design([lamp()], polarity="negative earth", setting="plant", supply_mohm_new=20.0)
    return propose(before, CATALOGUE).design


def with_rows(table: str, **rows: Any) -> Design:
    changed = {**SOUND.table(table)}
    for uid, row in rows.items():
        if row is None:
            del changed[uid]
        else:
            changed[uid] = row
    return replace(SOUND, **{table: changed})


def link(**values: Any) -> Design:
    """A long fed wire with these values."""
    uid = fed().uid
    return with_rows("link", **{uid: replace(SOUND.link[uid], **values)})


def fed() -> Link:
    return max(
        (each for each in SOUND.link.values() if each.route and each.main != "black"),
        key=lambda each: len(each.route or ()),
    )


def end(**values: Any) -> Design:
    wire = next(wire for wire in wires(SOUND) if wire.link.uid == fed().uid)
    made = next(
        each.made for each in wire.ends if SOUND.way[each.way_uid or ""].contact != "splice"
    )
    return with_rows("wire_end", **{made.uid: replace(made, **values)})


def fuse(**values: Any) -> Design:
    bridge = next(
        bridge
        for bridge in SOUND.bridge.values()
        if bridge.kind == "fuse"
        and SOUND.fitting[bridge.fitting_uid].kind == "fuse board"
        and bridge.fuse_a
    )
    return with_rows("bridge", **{bridge.uid: replace(bridge, **values)})


def loads(**values: Any) -> Design:
    rows = {
        bridge.uid: replace(bridge, **values)
        for bridge in SOUND.bridge.values()
        if bridge.kind == "load"
    }
    return with_rows("bridge", **rows)


def without_returns() -> Design:
    rows = {
        each.uid: None
        for each in SOUND.link.values()
        if each.from_way_uid
        and SOUND.way[each.from_way_uid].label == "−"
        and SOUND.fitting[SOUND.way[each.from_way_uid].fitting_uid].kind == "load"
    }
    return replace(with_rows("link", **rows), crossing={}, wire_end={})


def crowded() -> Design:
    target = fed()
    twin = replace(target, uid="twin", number=99)
    return with_rows("link", twin=twin)


def bare_source() -> Design:
    """The main fuse-link's holder bridged by a plain joint."""
    bridge = next(
        bridge
        for bridge in SOUND.bridge.values()
        if bridge.kind == "fuse" and SOUND.fitting[bridge.fitting_uid].name == "Main fuse"
    )
    return with_rows("bridge", **{bridge.uid: replace(bridge, kind="joined")})


def half_empty() -> Design:
    """A plug typed by hand: a wire ends in one half and nothing goes on from the other."""
    crossing = next(iter(SOUND.crossing.values()))
    cut = SOUND.link[crossing.link_uid]
    ended = replace(cut, to_way_uid=crossing.way_a_uid, route=())
    after = with_rows("link", **{cut.uid: ended})
    rest = {uid: each for uid, each in SOUND.crossing.items() if each.link_uid != cut.uid}
    return replace(after, crossing=rest)


def off_route() -> Design:
    crossing = next(iter(SOUND.crossing.values()))
    return with_rows(
        "link", **{crossing.link_uid: replace(SOUND.link[crossing.link_uid], route=())}
    )


def no_supply() -> Design:
    rows = {bridge.uid: None for bridge in SOUND.bridge.values() if bridge.kind == "source"}
    return with_rows("bridge", **rows)


def basis(**values: Any) -> Design:
    return replace(SOUND, basis=replace(SOUND.basis, **values))


def crammed() -> Design:
    """One lamp grown to thirty-odd ampere beside the thin wires of the other."""
    rows = {
        bridge.uid: replace(bridge, load_a=33.0)
        for bridge in SOUND.bridge.values()
        if bridge.kind == "load" and bridge.need_uid == "two"
    }
    return with_rows("bridge", **rows)


def every_fuse(kind: str, rating: float) -> Design:
    rows = {
        bridge.uid: replace(bridge, fuse_kind=kind, fuse_a=rating)
        for bridge in SOUND.bridge.values()
        if bridge.kind == "fuse"
    }
    return with_rows("bridge", **rows)


def starting() -> Design:
    """A lamp that takes a long rush behind a small fuse-link."""
    need = replace(SOUND.need["lamp"], inrush_a=60.0, inrush_s=2.0)
    return replace(every_fuse("blade-medium", 5.0), need=SOUND.need | {"lamp": need})


def end_on(contact: str, **values: Any) -> Design:
    """An end on a way whose contact begins so, made with these values."""
    made = next(
        each.made
        for wire in wires(SOUND)
        for each in wire.ends
        if SOUND.way[each.way_uid or ""].contact.startswith(contact)
    )
    return with_rows("wire_end", **{made.uid: replace(made, **values)})


def half_left() -> Design:
    """One of the wires through the plug taken out."""
    crossing = next(iter(SOUND.crossing.values()))
    without = {uid: each for uid, each in SOUND.link.items() if uid != crossing.link_uid}
    rest = {uid: each for uid, each in SOUND.crossing.items() if each.link_uid in without}
    ends = {uid: each for uid, each in SOUND.wire_end.items() if each.link_uid in without}
    return replace(SOUND, link=without, crossing=rest, wire_end=ends)


def doubled() -> Design:
    """Two wires in one way of a plug, another way being free."""
    left = half_left()
    one, other = list(left.crossing.values())[:2]
    moved = replace(other, way_a_uid=one.way_a_uid, way_b_uid=one.way_b_uid)
    return replace(left, crossing=left.crossing | {other.uid: moved})
