"""Another control, and another circuit like it: looked at, taken as one command, undone whole."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from tests.pages.designed import PROPOSED, designed_db
from webapp.database import make_engine
from webapp.stages import choosing, what_changes
from webapp.stages.circuit_changes import other_control, twin, twin_ask
from webapp.stages.design import commands, revisions
from webapp.stages.design.circuit_needs import served
from webapp.stages.design.entry import RowsRefused
from webapp.stages.design.figures import Figures
from webapp.stages.design.rows import Circuit, Design, load
from webapp.stages.refusals import NotThere, Refused

__all__ = ["designed_db"]


@pytest.fixture
def loom(designed_db: Path, tmp_path: Path) -> Iterator[Session]:
    path = tmp_path / "changes.db"
    shutil.copyfile(designed_db, path)
    engine = make_engine(path)
    with Session(engine.execution_options(begin="IMMEDIATE")) as session:
        yield session
    engine.dispose()


def now(session: Session) -> Design:
    return load(session, revisions.latest(session, 1).id)


def circuit(name: str) -> Circuit:
    return next(each for each in PROPOSED.circuit.values() if each.name == name)


LAMP = circuit("Lamp 1")
BY_RELAY = {"control": "switch via relay", "control_place": "helm"}


def test_what_a_relay_would_change_is_shown_and_nothing_written(loom: Session) -> None:
    before = now(loom)
    seen = what_changes.look(loom, 1, other_control(LAMP.uid, BY_RELAY))
    assert seen.comparison.counted("added") > 0
    fittings = next(each for each in seen.comparison.sections if each.title == "Fittings")
    assert any("relay" in row.name.lower() for row in fittings.rows)
    assert seen.before_minor == choosing.price_of(loom, 1, before).price.pay.total.minor  # type: ignore[union-attr]
    assert seen.after_minor is not None
    assert seen.before_minor is not None
    assert seen.after_minor > seen.before_minor
    assert now(loom) == before


def test_what_is_taken_is_what_was_shown_and_one_undo_takes_it_back(loom: Session) -> None:
    before = now(loom)
    making = other_control(LAMP.uid, BY_RELAY)
    seen = what_changes.look(loom, 1, making)
    sentence = what_changes.take(loom, 1, making, seen.last_command, 1)
    assert sentence == "Lamp 1: controlled by switch via relay"
    after = now(loom)
    assert after.need["lamp1"].control == "switch via relay"
    assert set(after.link) == set(seen.made.design.link)
    assert set(after.fitting) == set(seen.made.design.fitting)
    commands.undo(loom, revisions.latest(loom, 1).id, 1)
    assert now(loom) == before


def test_what_was_set_by_hand_is_named_as_kept(loom: Session) -> None:
    making = other_control(LAMP.uid, BY_RELAY)
    design = now(loom)
    link = next(each for each in design.link.values() if each.circuit_uid == circuit("Horn").uid)
    commands.write(
        loom, revisions.latest(loom, 1).id, "By hand", [commands.changed(link, csa_mm2=6.0)], 1
    )
    seen = what_changes.look(loom, 1, making)
    assert any("set by hand" in sentence for sentence in seen.made.kept)
    assert seen.made.design.link[link.uid].csa_mm2 == 6.0


def test_findings_that_come_and_go_are_told(loom: Session) -> None:
    """A wire made far too thin by hand is found; the control that lays it no more lets it go."""
    design = now(loom)
    permanent = {"control": "permanent", "control_place": ""}
    thin = next(
        each
        for each in design.link.values()
        if each.circuit_uid == LAMP.uid and "switch" in design.way_name(each.to_way_uid)
    )
    rows = [commands.changed(thin, csa_mm2=None, cable_part_uid=None)]
    commands.write(loom, revisions.latest(loom, 1).id, "No size", rows, 1)
    seen = what_changes.look(loom, 1, other_control(LAMP.uid, permanent))
    assert any(said.sentence.startswith(f"Wire {thin.number}:") for said in seen.gone)
    back = what_changes.look(loom, 1, other_control(LAMP.uid, {"control": "switch"}))
    assert not any(said.sentence.startswith(f"Wire {thin.number}:") for said in back.gone)


def test_what_a_control_asks_for_is_said_at_its_field(loom: Session) -> None:
    for typed, field in (
        ({"control": "two-way switches", "control_place": "helm"}, "second_place"),
        ({"control": "switch", "control_place": ""}, "control_place"),
        ({"control": "diode fed"}, "switched_with"),
    ):
        with pytest.raises(RowsRefused) as refused:
            what_changes.look(loom, 1, other_control(LAMP.uid, typed))
        assert field in {problem.field for problem in refused.value.problems}


def test_a_twin_serves_a_need_of_its_own_like_the_first(loom: Session) -> None:
    before = now(loom)
    making = twin(LAMP.uid, "Lamp 9", {"bow": "helm"})
    seen = what_changes.look(loom, 1, making)
    assert seen.comparison.counted("removed") == 0
    what_changes.take(loom, 1, making, seen.last_command, 1)
    after = now(loom)
    new = next(need for need in after.need.values() if need.name == "Lamp 9")
    old = before.need["lamp1"]
    same = replace(new, uid=old.uid, position=old.position, name=old.name, place_uid=old.place_uid)
    assert same == old
    assert after.place[new.place_uid].name == "helm"
    made = next(each for each in after.circuit.values() if each.need_uid == new.uid)
    assert served(after, made) == [new]
    own = [each for each in Figures(after).loads.values() if each.need == new]
    assert own
    assert all(each.path.complete for each in own)
    commands.undo(loom, revisions.latest(loom, 1).id, 1)
    assert now(loom) == before


def test_a_twin_s_name_and_places_are_suggested(loom: Session) -> None:
    ask = twin_ask(now(loom), LAMP)
    assert ask.name == "Lamp 3"
    assert [old for old, _ in ask.places] == ["bow", "helm"]
    assert not ask.by_hand


def test_a_name_that_is_taken_is_said_at_its_field(loom: Session) -> None:
    with pytest.raises(RowsRefused) as refused:
        what_changes.look(loom, 1, twin(LAMP.uid, "Lamp 2", {}))
    assert [problem.field for problem in refused.value.problems] == ["name"]


def test_a_design_that_changed_since_is_looked_at_again(loom: Session) -> None:
    making = other_control(LAMP.uid, BY_RELAY)
    last = what_changes.look(loom, 1, making).last_command
    before = now(loom)
    with pytest.raises(Refused, match="has changed since"):
        what_changes.take(loom, 1, making, last - 1, 1)
    assert now(loom) == before


def test_a_circuit_that_is_not_there_or_serves_no_need_has_none(loom: Session) -> None:
    with pytest.raises(NotThere):
        what_changes.look(loom, 1, other_control("none", BY_RELAY))
    with pytest.raises(NotThere):
        what_changes.look(loom, 1, twin("none", "Lamp 9", {}))
