"""Colours of a proposal: never one pair twice in a plug, only stocked ones where asked."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, any_list, design, lamp
from webapp.sizing.colours import COLOUR_CODE_IDS, Pair, Palette, colour_for, workshop_code
from webapp.stages.design.editing import adding, plugs, wires
from webapp.stages.design.halves import used_ways
from webapp.stages.design.nets import fittings_met, joined_links
from webapp.stages.design.proposal import propose
from webapp.stages.design.proposal.colours import colour_wires
from webapp.stages.design.rows import Design, Link

SOME = frozenset({
    ("black", None), ("red", None), ("orange", None), ("orange", "black"), ("blue", "white"),
    ("dark blue", None), ("brown", "white"),
})  # fmt: skip


def pair(link: Link) -> Pair:
    return link.main, link.tracer or None


def alike(after: Design) -> list[tuple[Link, Link]]:
    """Links of different nets with one pair that meet in a plug or fitting."""
    met, found = fittings_met(after), []
    first: dict[tuple[str, Pair], tuple[int, Link]] = {}
    for number, net in enumerate(joined_links(after)):
        for link in (after.link[uid] for uid in net):
            for fitting in met[link.uid]:
                other, there = first.setdefault((fitting, pair(link)), (number, link))
                if other != number:
                    found.append((there, link))
    return found


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    seed=st.integers(0, 10_000),
    code=st.sampled_from(COLOUR_CODE_IDS),
    polarity=st.sampled_from(["insulated return", "negative earth", "positive earth"]),
    stocked=st.sampled_from([None, SOME]),
)
def test_no_pair_is_twice_in_a_plug_or_fitting_unless_joined_or_named(
    seed: int, code: str, polarity: str, stocked: frozenset[Pair] | None
) -> None:
    asked = any_list(seed, 14, 12, polarity, "craft" if "insulated" in polarity else "road")
    asked = replace(asked, basis=replace(asked.basis, colour_code=code))
    palette = Palette(stocked=stocked)
    proposal = propose(asked, CATALOGUE, palette)
    named = " ".join(each.sentence for each in proposal.assumed)
    for one, two in alike(proposal.design):
        assert "only the numbers on their tags" in named, (one, two)
    for net in joined_links(proposal.design):
        assert len({pair(proposal.design.link[uid]) for uid in net}) == 1
    for link in proposal.design.link.values():
        assert link.main
        if palette.lacks(pair(link)):
            # Negative and bonding keep their own colour; all else is named.
            assert "No wire in stock" in named


def lamps(count: int, **basis: object) -> Design:
    needs = [lamp(f"lamp{n}", name=f"Lamp {n}") for n in range(count)]
    return propose(design(needs, **basis), CATALOGUE).design  # type: ignore[arg-type]


def test_the_workshops_own_code_is_followed() -> None:
    own = workshop_code({"cabin lamps": ("tan", "dark blue")})
    asked = design([lamp()], colour_code="workshop")
    after = propose(asked, CATALOGUE, Palette(own)).design
    assert ("tan", "dark blue") in {pair(link) for link in after.link.values()}


def test_pairs_that_run_out_are_used_again_but_in_no_plug_twice() -> None:
    stocked = frozenset({("black", None), ("red", None), ("dark blue", None), ("orange", None)})
    after, said = colour_wires(lamps(8, plug_place_uids=("helm",)), Palette(stocked=stocked))
    assert not alike(after)
    words = " ".join(each.sentence for each in said)
    assert "wire in stock has no free pair" in words
    assert "must be bought" in words
    again, _ = colour_wires(after, Palette(stocked=stocked))
    assert again == after


def test_a_negative_that_meets_a_black_wire_by_hand_gets_a_tracer() -> None:
    before = plugs.put_in("bow", "r1")(lamps(1), CATALOGUE).design
    returning = {link.uid for link in before.link.values() if pair(link) == ("black", None)}
    feed = next(
        link
        for link in before.link.values()
        if link.uid not in returning and "r1" in (link.route or ())
    )
    held = wires.colour(feed.uid, "main", "black")(before, CATALOGUE).design
    held = wires.colour(feed.uid, "tracer", "")(held, CATALOGUE).design
    after, _ = colour_wires(held, Palette())
    assert pair(after.link[feed.uid]) == ("black", None)
    assert not alike(after)
    changed = {pair(after.link[uid]) for uid in returning}
    assert changed == {colour_for("small-craft", "negative", barred={("black", None)}).pair}


def test_a_core_keeps_the_colour_of_its_cable() -> None:
    before = lamps(2)
    some = next(iter(before.link.values()))
    core = replace(some, main="brown", tracer="", core="brown")
    held = replace(before, link={**before.link, core.uid: core})
    after, _ = colour_wires(held, Palette())
    assert pair(after.link[core.uid]) == ("brown", None)


@pytest.mark.parametrize("code", COLOUR_CODE_IDS)
def test_every_return_to_the_body_has_one_colour(code: str) -> None:
    asked = design([lamp(f"l{n}", name=f"L{n}") for n in range(4)], polarity="negative earth",
                   setting="road", colour_code=code)  # fmt: skip
    after = propose(asked, CATALOGUE).design
    earths = {
        pair(link)
        for link in after.link.values()
        for uid in (link.from_way_uid, link.to_way_uid)
        if after.fitting[after.way[uid or ""].fitting_uid].kind == "earth stud"
    }
    assert earths == {("black", None)}


def test_a_typed_wire_keeps_to_stock_and_meets_no_wire_of_its_colour() -> None:
    before = lamps(3)
    bar = next(each for each in before.fitting.values() if each.kind == "fuse board")
    free = [way.uid for way in before.ways_of[bar.uid] if way.uid not in used_ways(before)]
    here = {
        pair(link) for link in before.link.values() if fittings_met(before)[link.uid] & {bar.uid}
    }
    fresh: Pair = ("orange", "white")
    everywhere = frozenset({pair(link) for link in before.link.values()})
    assert fresh not in everywhere
    typed = adding.NewWire(adding.NewEnd(free[0]), adding.NewEnd(None, "bow"), "Typed")
    for stocked in (everywhere | {fresh}, everywhere - {fresh}):
        after = adding.add(typed, Palette(stocked=stocked))(before, CATALOGUE).design
        (new,) = after.link.keys() - before.link.keys()
        given = pair(after.link[new])
        assert given == fresh if fresh in stocked else given not in here
