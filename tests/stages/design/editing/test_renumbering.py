"""Wires numbered anew by a rule, as it was shown, and what keeps its number."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing import wires
from webapp.stages.design.editing.renumbering import (
    ORDERS,
    Rule,
    from_supply_mm,
    planned,
    renumber,
)
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

PROPOSED = propose(
    design(
        [lamp("bow", name="Bow lamp"), lamp("helm", name="Helm lamp", place_uid="helm")],
        places=("battery box", "helm", "mast", "bow"),
    ),
    CATALOGUE,
).design


def done(rule: Rule, before: Design = PROPOSED) -> Design:
    return renumber(rule, planned(before, rule))(before, CATALOGUE).design


def numbers(of: Design) -> list[int]:
    return sorted(link.number for link in of.link.values())


@given(
    order=st.sampled_from(list(ORDERS)),
    start=st.integers(1, 500),
    keep=st.booleans(),
    by_hand=st.dictionaries(
        st.sampled_from(sorted(PROPOSED.link)), st.integers(600, 700), max_size=3
    ),
    only=st.frozensets(st.sampled_from(sorted(PROPOSED.link)), max_size=4),
)
def test_numbers_stay_unique_and_what_is_kept_is_kept(
    order: str, start: int, keep: bool, by_hand: dict[str, int], only: frozenset[str]
) -> None:
    before = PROPOSED
    for uid, number in by_hand.items():
        if number not in numbers(before):
            before = wires.number(uid, number)(before, CATALOGUE).design
    rule = Rule(order, start, keep, only)
    after = done(rule, before)
    assert len(set(numbers(after))) == len(after.link)
    for uid, link in before.link.items():
        held = (keep and "number" in link.by_hand) or (only and uid not in only)
        if held:
            assert after.link[uid].number == link.number
        else:
            assert after.link[uid].number >= start


def test_circuit_by_circuit_from_a_number_leaves_no_gaps() -> None:
    after = done(Rule("circuit", 100))
    assert numbers(after) == list(range(100, 100 + len(PROPOSED.link)))
    inside = sorted(after.link.values(), key=lambda link: link.number)
    of_circuits = [after.circuit[link.circuit_uid].number for link in inside]
    assert of_circuits == sorted(of_circuits)


def test_by_place_goes_from_the_supply_outwards() -> None:
    away_mm = from_supply_mm(PROPOSED)
    assert away_mm == {"battery box": 0, "helm": 2000, "mast": 4000, "bow": 6000}
    after = done(Rule("place"))
    order = sorted(after.link.values(), key=lambda link: link.number)
    nearest = [
        min(
            away_mm[after.place_of_way(uid)]
            for uid in (link.from_way_uid, link.to_way_uid)
            if uid is not None
        )
        for link in order
    ]
    assert nearest == sorted(nearest)
    assert not math.isinf(nearest[-1])


def test_a_number_by_hand_is_passed_over_unless_asked() -> None:
    uid = next(iter(PROPOSED.link))
    before = wires.number(uid, 102)(PROPOSED, CATALOGUE).design
    kept = done(Rule("number", 100), before)
    assert kept.link[uid].number == 102
    assert 103 in numbers(kept)
    asked = done(Rule("number", 100, keep_by_hand=False), before)
    assert numbers(asked) == list(range(100, 100 + len(before.link)))


def test_a_proposal_keeps_the_new_numbers() -> None:
    after = done(Rule("place", 40))
    again = propose(after, CATALOGUE).design
    assert {uid: link.number for uid, link in again.link.items()} == {
        uid: link.number for uid, link in after.link.items()
    }


def test_only_what_was_shown_is_done() -> None:
    rule = Rule("circuit", 50)
    seen = planned(PROPOSED, rule)
    meanwhile = wires.number(next(iter(PROPOSED.link)), 999)(PROPOSED, CATALOGUE).design
    with pytest.raises(Clash):
        renumber(rule, seen)(meanwhile, CATALOGUE)
    with pytest.raises(Refused, match="start lower"):
        planned(PROPOSED, Rule("circuit", 99_999))


def test_nothing_but_numbers_changes() -> None:
    after = done(Rule("place", 20))
    assert after.wire_end == PROPOSED.wire_end
    assert {uid for uid in PROPOSED.link if "number" not in after.link[uid].by_hand} == {
        uid for uid, link in PROPOSED.link.items() if link.number == after.link[uid].number
    }
