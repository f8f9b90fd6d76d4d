"""Alternatives: offered where there is a real choice, compared as whole proposals, picked whole."""

import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.orm import Session

from tests.pages.designed import designed_db, put_design
from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.database import make_engine
from webapp.stages import choosing
from webapp.stages.design import commands, revisions
from webapp.stages.design.alternatives import (
    WHOLE_LOOM,
    Alternative,
    Choice,
    applied,
    choices,
)
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Need, load
from webapp.stages.refusals import NotThere, Refused

__all__ = ["designed_db"]


def proposed(needs: list[Need], **values: Any) -> Design:
    return propose(design(needs, **values), CATALOGUE).design


def choice_of(after: Design, about: str) -> Choice | None:
    return next((one for one in choices(after, Figures(after)) if one.about == about), None)


def ids(choice: Choice | None) -> set[str]:
    return {one.id for one in choice.alternatives} if choice else set()


def searchlight(**values: Any) -> Need:
    """18 A over 8 m by way of a switch of 20 A: worth a relay, a second feed or more copper."""
    return lamp("search", name="Searchlight", rating=216.0, quantity=1, **values)


def test_a_small_lamp_near_by_leaves_no_choice() -> None:
    assert choice_of(proposed([lamp(rating=2.0)], run_mm=400), "lamp") is None


def test_a_thirsty_lamp_far_away_leaves_all_three() -> None:
    after = proposed([searchlight()], run_mm=4000)
    assert ids(choice_of(after, "search")) >= {"second feed", "relay near the load"}


def test_a_drop_near_its_limit_offers_a_size_more() -> None:
    after = proposed([lamp(rating=25.0, max_drop_percent=3.0)], run_mm=5000)
    assert "one size thicker" in ids(choice_of(after, "lamp"))


def test_sources_and_starters_are_no_choice() -> None:
    alternator = lamp(
        "alt", name="Alternator", kind="source", rating=55.0, rating_unit="A", rated_at_v=14.4,
        control="permanent",
    )  # fmt: skip
    assert choice_of(proposed([alternator, lamp()]), "alt") is None


def test_what_is_permanent_is_offered_no_relay() -> None:
    after = proposed([searchlight(control="permanent")], run_mm=4000)
    assert "relay near the load" not in ids(choice_of(after, "search"))


def test_the_plain_way_leads_back() -> None:
    after = proposed([searchlight(extra_sizes=2)], run_mm=4000)
    plain = next(one for one in choice_of(after, "search").alternatives if one.id == "plain")  # type: ignore[union-attr]
    assert applied(after, "search", plain).need["search"].extra_sizes == 0


def test_whoever_works_with_it_gets_the_same_control() -> None:
    after = proposed([searchlight(), lamp("with", name="Deck lamp", switched_with_uid="search")])
    relay = Alternative("relay", "A relay", {"control": "switch via relay"})
    changed = applied(after, "search", relay)
    assert {need.control for need in changed.need.values()} == {"switch via relay"}
    assert not propose(changed, CATALOGUE).cannot


@pytest.mark.parametrize("which", ["one size thicker", "second feed", "relay near the load"])
def test_each_alternative_can_be_proposed_and_does_what_it_says(which: str) -> None:
    need = searchlight(max_drop_percent=6.0)
    before = proposed([need], run_mm=2500)
    choice = choice_of(before, "search")
    assert choice is not None
    chosen = next((one for one in choice.alternatives if one.id == which), None)
    assert chosen is not None
    proposal = propose(applied(before, "search", chosen), CATALOGUE)
    assert not proposal.cannot
    if which == "one size thicker":
        copper = [sum(link.csa_mm2 or 0 for link in each.link.values())
                  for each in (before, proposal.design)]  # fmt: skip
        assert copper[1] > copper[0]
    elif which == "second feed":
        assert len(proposal.design.link) > len(before.link)
    else:
        relay = next(each for each in proposal.design.fitting.values() if each.kind == "relay")
        assert relay.place_uid == need.place_uid


# --- with a workshop, its prices and its journal ---


@pytest.fixture
def loom(designed_db: Path, tmp_path: Path) -> Session:
    path = tmp_path / "choosing.db"
    shutil.copyfile(designed_db, path)
    session = Session(make_engine(path).execution_options(begin="IMMEDIATE"))
    after = proposed([searchlight(), lamp("two", name="Cabin lamp")], run_mm=4000)
    by_hand = next(each for each in after.fitting.values() if each.name == "Cabin lamp")
    renamed = replace(by_hand, name="Bunk lamp", by_hand=("name",))
    put_design(session, 1, replace(after, fitting={**after.fitting, renamed.uid: renamed}))
    return session


def now(session: Session) -> Design:
    return load(session, revisions.latest(session, 1).id)


def test_each_outcome_is_priced_and_the_present_one_comes_first(loom: Session) -> None:
    compared = choosing.compare(loom, 1, "search")
    first = compared.outcomes[0]
    assert first.alternative.title == "As it stands"
    assert all(one.total_minor for one in compared.outcomes)
    assert first.total_minor == choosing.price_of(loom, 1, now(loom)).price.pay.total.minor  # type: ignore[union-attr]
    assert len({one.total_minor for one in compared.outcomes}) > 1


def test_what_is_picked_is_what_was_compared_and_one_undo_takes_it_back(loom: Session) -> None:
    before = now(loom)
    compared = choosing.compare(loom, 1, "search")
    relay = next(one for one in compared.outcomes if one.alternative.id == "relay near the load")
    sentence = choosing.pick(loom, 1, "search", "relay near the load", compared.last_command, 1)
    assert sentence == "Searchlight: a relay near the load"
    after = now(loom)
    assert after.need["search"].control == "switch via relay"
    again = choosing.compare(loom, 1, "search").outcomes[0]
    assert (again.total_minor, again.amounts) == (relay.total_minor, relay.amounts)
    assert any(each.name == "Bunk lamp" for each in after.fitting.values())
    commands.undo(loom, revisions.latest(loom, 1).id, 1)
    assert now(loom) == before


def test_the_whole_loom_can_share_its_fuse_links(loom: Session) -> None:
    last = choosing.compare(loom, 1, WHOLE_LOOM).last_command
    choosing.pick(loom, 1, WHOLE_LOOM, "sharing", last, 1)
    assert now(loom).basis.fuse_sharing == "by place"


def test_a_design_that_changed_since_is_looked_at_again(loom: Session) -> None:
    last = choosing.compare(loom, 1, "search").last_command
    with pytest.raises(Refused, match="has changed since"):
        choosing.pick(loom, 1, "search", "relay near the load", last - 1, 1)


@pytest.mark.parametrize("about", ["two", "none", ""])
def test_where_there_is_no_choice_there_is_no_page(loom: Session, about: str) -> None:
    with pytest.raises(NotThere):
        choosing.compare(loom, 1, about)


def test_an_alternative_that_is_not_offered_is_refused(loom: Session) -> None:
    last = choosing.compare(loom, 1, "search").last_command
    with pytest.raises(Refused, match="Choose one"):
        choosing.pick(loom, 1, "search", "gold wire", last, 1)
