"""Each rule: a design that raises it; the sound design that it comes from raises none of them."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.findings import Finding, findings
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Link
from webapp.stages.design.wires import wires


def sound() -> Design:
    """Two lamps, one behind a relay, through a plug at the helm."""
    needs = [lamp(), lamp("two", name="Deck lamp", control="switch via relay", rating=30.0)]
    before = design(needs, plug_place_uids=("helm",), fuse_board_place_uid="battery box")
    return propose(before, CATALOGUE).design


SOUND = sound()


def found(after: Design, rule: str) -> list[Finding]:
    return [finding for finding in findings(after, CATALOGUE) if finding.rule == rule]


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


RAISED: dict[str, Callable[[], Design]] = {
    "supply": no_supply,
    "source unprotected": bare_source,
    "starter cable": lambda: link(starter_cable=True),
    "fuse rating": lambda: fuse(fuse_a=None),
    "fuse too small": lambda: loads(load_a=38.0),
    "fuse near its rating": lambda: fuse(fuse_a=1.0),
    "breaking capacity": lambda: basis(supply_mohm_new=0.02),
    "fuse voltage": lambda: replace(
        fuse(fuse_kind="blade-medium"), basis=replace(SOUND.basis, heat_at_v=40.0)
    ),
    "fuse too big for load": lambda: loads(max_fuse_a=0.5),
    "no return": without_returns,
    "no feed": lambda: replace(with_rows("link", **{fed().uid: None}), crossing={}, wire_end={}),
    "load unknown": lambda: loads(need_uid=None),
    "fault never cleared": lambda: basis(supply_mohm_old_cold=3000.0),
    "fault heats wire": lambda: every_fuse("blade-medium", 30.0),
    "inrush": starting,
    "selectivity": lambda: every_fuse("blade-medium", 5.0),
    "fault not judged": lambda: every_fuse("cartridge-10x38", 4.0),
    "drop": lambda: with_rows("need", lamp=replace(SOUND.need["lamp"], max_drop_percent=0.1)),
    "need unmet": lambda: with_rows("need", extra=lamp("extra", name="Extra lamp")),
    "unconfirmed": lambda: basis(standard="small-craft-iso10133"),
    "conductor": lambda: link(csa_mm2=None),
    "conductor too small": lambda: loads(load_a=400.0),
    "conductor too hot": crammed,
    "fuse too big for wire": lambda: fuse(fuse_a=30.0),
    "minimum section": lambda: link(csa_mm2=0.5),
    "no route": lambda: link(route=None),
    "route does not fit": lambda: link(route=("r0",)) if fed().route != ("r0",) else link(route=()),
    "no length": lambda: with_rows("run", r0=replace(SOUND.run["r0"], length_mm=None)),
    "short length": lambda: link(lengths_mm={"0": 10}),
    "no colour": lambda: link(main=""),
    "end goes nowhere": lambda: link(to_way_uid=None),
    "missing terminal": lambda: end(terminal_part_uid=None),
    "terminal does not mate": lambda: end(terminal_part_uid="ring-M8-1-2.5"),
    "terminal does not fit": lambda: link(csa_mm2=16.0),
    "way used twice": crowded,
    "contact overloaded": lambda: loads(load_a=45.0),
    "halves differ": half_empty,
    "plug off the route": off_route,
    "no covering": lambda: with_rows("run", r0=replace(SOUND.run["r0"], covering_part_uid=None)),
    "run unused": lambda: with_rows("run", r9=replace(SOUND.run["r0"], uid="r9")),
}
# Rules that the sound design itself raises: notes that always apply to it.
ALWAYS = {"poles protected", "spare ways", "selectivity", "fault not judged"}


def test_the_sound_design_raises_none_of_them() -> None:
    rules = {finding.rule for finding in findings(SOUND, CATALOGUE)}
    assert rules - ALWAYS == set()


@pytest.mark.parametrize("rule", RAISED)
def test_each_rule_is_raised(rule: str) -> None:
    raised = found(RAISED[rule](), rule)
    assert raised
    assert all(finding.sentence.endswith(".") and finding.source for finding in raised)


def test_always_rules_fall_silent_where_they_do_not_apply() -> None:
    plain = propose(
        design([lamp()], polarity="negative earth", setting="plant", supply_mohm_new=20.0),
        CATALOGUE,
    ).design
    assert {finding.rule for finding in findings(plain, CATALOGUE)} & ALWAYS == set()


def test_a_loose_end_with_its_length_is_no_error_and_wants_a_tag() -> None:
    loose = link(to_way_uid=None)
    uid = f"{fed().uid}:to"
    made = replace(SOUND.wire_end[uid], loose_mm=300, tag="")
    tagless = replace(loose, wire_end=SOUND.wire_end | {uid: made})
    assert not found(tagless, "end goes nowhere")
    assert found(tagless, "loose end untagged")
    tagged = replace(loose, wire_end=SOUND.wire_end | {uid: replace(made, tag="to the mast")})
    assert not found(tagged, "loose end untagged")


def test_the_mend_of_a_thin_wire_mends_it() -> None:
    thin = fuse(fuse_a=30.0)
    (finding, *_) = [one for one in found(thin, "fuse too big for wire") if one.mend]
    assert finding.mend is not None
    target = thin.link[finding.mend.uid]
    mended = replace(
        thin, link=thin.link | {target.uid: replace(target, csa_mm2=finding.mend.value)}
    )
    assert finding.uid not in {one.uid for one in found(mended, "fuse too big for wire")}


def test_a_mate_outside_the_loom_is_noted() -> None:
    half = next(fitting for fitting in SOUND.fitting.values() if fitting.kind == "plug")
    alone = with_rows("fitting", **{half.uid: replace(half, mate_uid=None)})
    assert found(alone, "no mate")


def test_unlike_platings_are_to_be_looked_at() -> None:
    uid = next(
        made.terminal_part_uid
        for made in SOUND.wire_end.values()
        if made.terminal_part_uid and "tab-receptacle" in made.terminal_part_uid
    )
    part = CATALOGUE.parts[uid]
    gilded = replace(part, facts=part.facts | {"plating": "gold"})
    other = Catalogue(CATALOGUE.parts | {uid: gilded})
    found_now = {finding.rule for finding in findings(SOUND, other)}
    assert "platings differ" in found_now
    assert "platings differ" not in {finding.rule for finding in findings(SOUND, CATALOGUE)}


def test_every_finding_names_a_row_that_is_there() -> None:
    for make in RAISED.values():
        after = make()
        for finding in findings(after, CATALOGUE):
            table = "link" if finding.table == "wire" else finding.table
            assert finding.uid in after.table(table)
