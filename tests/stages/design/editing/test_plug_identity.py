"""Plugs put in anywhere and taken out again leave the wires as they were."""

import random
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, any_list
from webapp.stages.design.editing import ends, plugs, wires
from webapp.stages.design.editing.edit import Editing
from webapp.stages.design.findings import findings
from webapp.stages.design.halves import used_ways
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires as wires_of
from webapp.stages.refusals import Refused


def seen(after: Design) -> list[object]:
    """All that a person sees of the wires and their ends."""
    return [
        (wire.uid, wire.number, wire.length_mm, wire.route, wire.link.main, wire.link.tracer,
         wire.link.csa_mm2, wire.link.by_hand, wire.link.lengths_mm,
         *((end.uid, end.way_uid, replace(end.made, version=0, position=0))
           for end in wire.ends))
        for wire in wires_of(after)
    ]  # fmt: skip


def edited(before: Design, pick: random.Random) -> Design:
    """Some wires as a person left them: lengths, colours, numbers, ends, own leads, loose ends."""
    after = before
    for _ in range(pick.randint(0, 6)):
        if not after.link:
            break
        link = after.link[pick.choice(list(after.link))]
        wire = pick.choice([each for each in wires_of(after) if each.link.uid == link.uid])
        place = pick.choice(list(after.place))
        choices: list[Editing] = [
            wires.length(link.uid, wire.segment, pick.randint(100, 9000)),
            wires.colour(link.uid, "main", "orange"),
            wires.number(link.uid, pick.randint(500, 900)),
            wires.flag(link.uid, "own_lead", True),
            wires.section(link.uid, 1.5),
            ends.field(wire.left.uid, "tag", "as it was"),
            ends.field(wire.right.uid, "allowance_mm", 77),
            ends.to_loose(link.uid, "to", place),
        ]
        try:
            after = pick.choice(choices)(after, CATALOGUE).design
        except Refused:
            continue
    return after


def halves_agree(design: Design) -> None:
    """Each crossing goes by one way of a plug and the same way of its socket, used once."""
    ways = []
    for each in design.crossing.values():
        a, b = design.way[each.way_a_uid], design.way[each.way_b_uid]
        assert a.label == b.label
        assert design.fitting[a.fitting_uid].mate_uid == b.fitting_uid
        assert design.fitting[b.fitting_uid].mate_uid == a.fitting_uid
        ways += [a.uid, b.uid]
    assert len(ways) == len(set(ways))
    wrong = ("halves differ", "plug off the route")
    assert not [found for found in findings(design, CATALOGUE) if found.rule in wrong]


def meets_its_half(design: Design, way_uid: str | None, run: tuple[str, ...]) -> None:
    """A wire that comes by a plug's run ends in the half on the run's side, others in its mate."""
    half = design.fitting[design.way[way_uid or ""].fitting_uid]
    if half.run_uid:
        assert run == (half.run_uid,)
    elif half.mate_uid:
        assert run != (design.fitting[half.mate_uid].run_uid,)


def follows_its_route(design: Design) -> None:
    """The wires of a link lie one after another, each from where the last one ended."""
    for wire in wires_of(design):
        places = [end.place_uid for end in wire.ends]
        if wire.route is None or None in places:
            continue
        meets_its_half(design, wire.left.way_uid, wire.route[:1])
        meets_its_half(design, wire.right.way_uid, wire.route[-1:])
        here = places[0]
        for uid in wire.route:
            run = design.run[uid]
            assert here in (run.from_place_uid, run.to_place_uid)
            here = run.to_place_uid if here == run.from_place_uid else run.from_place_uid
        assert here == places[1]


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    seed=st.integers(0, 100_000),
    polarity=st.sampled_from(["insulated return", "negative earth", "positive earth"]),
)
def test_plugs_in_plugs_out_is_the_identity(seed: int, polarity: str) -> None:
    pick = random.Random(seed)
    setting = "craft" if polarity == "insulated return" else "road"
    before = edited(propose(any_list(seed, 6, 12, polarity, setting), CATALOGUE).design, pick)
    after = before
    for _ in range(pick.randint(1, 4)):
        run = pick.choice(list(before.run.values()))
        place = pick.choice([run.from_place_uid, run.to_place_uid])
        try:
            edit = plugs.put_in(place, run.uid, sealed=pick.random() < 0.3)(after, CATALOGUE)
        except Refused:
            continue
        if len(edit.design.fitting) == len(after.fitting):
            continue  # into spare ways of a plug that was there: nothing to take out
        after = edit.design
        halves_agree(after)
        follows_its_route(after)
        assert {link.uid for link in after.link.values()} == set(before.link)
    new = [uid for uid in after.fitting if uid not in before.fitting]
    assert len(wires_of(after)) >= len(wires_of(before)) + bool(new)
    pick.shuffle(new)
    for uid in new:
        if uid in after.fitting:
            after = plugs.take_out(uid)(after, CATALOGUE).design
            halves_agree(after)
    kept = {uid for uid in before.crossing if uid in after.crossing}
    if set(after.crossing) != kept:
        return  # some went into spare ways of a proposed plug as well, and stay there
    assert seen(after) == seen(before)
    for table in ("fitting", "way", "crossing", "removed"):
        assert after.table(table) == before.table(table)


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 100_000))
def test_every_wire_that_passes_gets_a_way_or_is_named(seed: int) -> None:
    pick = random.Random(seed)
    before = propose(any_list(seed, 8, 24, "insulated return", "craft"), CATALOGUE).design
    for run in before.run.values():
        place = pick.choice([run.from_place_uid, run.to_place_uid])
        passing = {uid for uid, link in before.link.items() if run.uid in (link.route or ())}
        try:
            edit = plugs.put_in(place, run.uid)(before, CATALOGUE)
        except Refused:
            continue
        after, said = edit.design, " ".join(edit.said)
        by = {each.link_uid for each in after.crossing.values()}
        for uid in passing - by:
            assert f"Wire {before.link[uid].number} passes the plug" in said
        assert {each.link_uid for each in after.crossing.values()} <= passing | {
            each.link_uid for each in before.crossing.values()
        }
        used = used_ways(after)
        for half in after.fitting.values():
            if half.uid not in before.fitting and half.run_uid:
                spare = [way.label for way in after.ways_of[half.uid] if way.uid not in used]
                count = len(after.ways_of[half.uid]) - len(spare)
                words = f"{len(spare)} spare" if spare else "none spare"
                assert f"{half.name}: {count} of {len(after.ways_of[half.uid])} ways" in said
                assert words in said
