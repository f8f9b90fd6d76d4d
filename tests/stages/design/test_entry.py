"""Tables typed on a page become one command; what two people typed is never lost."""

from collections.abc import Mapping
from typing import Any

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from tests.stages.office import begin_job
from webapp.records.design import DesignCommand
from webapp.stages.design import commands, entry, revisions
from webapp.stages.design.commands import added, write
from webapp.stages.design.entry import RowsRefused, TypedRow, TypedTable, save, shown
from webapp.stages.design.rows import Bridge, Circuit, Design, Fitting, Link, Way
from webapp.stages.refusals import NotThere

HORN: dict[str, Any] = {
    "name": "Horn",
    "quantity": None,
    "place": "foredeck",
    "kind": "motor",
    "rating": 4.0,
    "rating_unit": "A",
    "rated_at_v": None,
    "control": "push button",
    "control_place": "helm",
    "duty": "continuous",
    "max_drop_percent": None,
    "inrush_a": None,
    "inrush_s": None,
    "max_fuse_a": None,
    "note": "",
    "service": None,
    "switched_with": "",
    "second_place": "",
    "before_isolator": False,
    "only_in_neutral": False,
    "own_lead": False,
    "to_field_terminal": False,
}
RUN: dict[str, Any] = {
    "from_place": "helm",
    "to_place": "foredeck",
    "length_mm": 2400,
    "plus_minus_mm": 50,
    "measured_how": "tape",
    "covering": "",
    "surround_c": None,
    "through": "",
}


def need(**new: Any) -> TypedRow:
    return TypedRow(None, HORN | new)


class Desk:
    """One loom, and somebody who types into its tables."""

    def __init__(self, session: Session) -> None:
        self.session = session
        _, self.loom_id, self.person_id = begin_job(session)

    @property
    def design(self) -> Design:
        return entry.latest(self.session, self.loom_id)

    def save(self, **tables: list[TypedRow]) -> str:
        sheet = {name: TypedTable(tuple(rows)) for name, rows in tables.items()}
        return save(self.session, self.loom_id, sheet, self.person_id)

    def edit(
        self,
        table: str,
        opened: Mapping[str, Mapping[str, Any]],
        **new: Mapping[str, Any] | None,
    ) -> str:
        """Sends the table as it was opened, with `new` values by uid; None takes a row out."""
        rows = tuple(
            TypedRow(uid, {**values, **(new.get(uid) or {})})
            for uid, values in opened.items()
            if uid not in new or new[uid] is not None
        )
        sheet = {table: TypedTable(rows, opened)}
        return save(self.session, self.loom_id, sheet, self.person_id)

    def refusals(self, **tables: list[TypedRow]) -> list[tuple[int, str, str]]:
        with pytest.raises(RowsRefused) as caught:
            self.save(**tables)
        return [(each.index, each.field, each.sentence) for each in caught.value.problems]

    def uid(self, table: str, name: str) -> str:
        (found,) = [uid for uid, row in self.design.table(table).items() if row.name == name]
        return str(found)

    def commands(self) -> int:
        return self.session.scalar(select(func.count()).select_from(DesignCommand)) or 0


@pytest.fixture
def desk(session: Session) -> Desk:
    return Desk(session)


def test_a_save_is_one_command_and_new_places_are_made_once(desk: Desk) -> None:
    sentence = desk.save(need=[need(), need(name="Lamp", kind="lamp", place="Helm ")],
                         run=[TypedRow(None, RUN)])  # fmt: skip
    assert sentence == "Needs: 2 added; runs: 1 added; places: 2 added"
    assert desk.commands() == 1
    assert [place.name for place in desk.design.place.values()] == ["helm", "foredeck"]
    horn = desk.design.need[desk.uid("need", "Horn")]
    assert (horn.quantity, horn.rated_at_v, horn.service, horn.max_drop_percent) == (
        1,
        12.0,
        "horn",
        10.0,
    )
    (run,) = desk.design.run.values()
    assert (run.length_mm, run.surround_c) == (2400, 30.0)


def test_what_is_left_empty_follows_service_and_setting(desk: Desk) -> None:
    desk.save(need=[need(name="Bilge pump"), need(name="Cabin lamp", kind="lamp")])
    found = {each.name: each.max_drop_percent for each in desk.design.need.values()}
    assert found == {"Bilge pump": 3.0, "Cabin lamp": 10.0}


def test_undo_takes_back_rows_and_places_and_redo_brings_them(desk: Desk) -> None:
    desk.save(need=[need()])
    revision_id = revisions.latest(desk.session, desk.loom_id).id
    commands.undo(desk.session, revision_id, None)
    assert not desk.design.need
    assert not desk.design.place
    commands.redo(desk.session, revision_id, None)
    assert len(desk.design.place) == 2


def test_saving_what_is_there_writes_nothing(desk: Desk) -> None:
    desk.save(need=[need()])
    assert desk.edit("need", shown(desk.design, "need")) == ""
    assert desk.commands() == 1


def test_different_fields_of_two_people_merge(desk: Desk) -> None:
    desk.save(need=[need()])
    uid = desk.uid("need", "Horn")
    opened = shown(desk.design, "need")
    desk.edit("need", opened, **{uid: {"rating": 5.0}})
    desk.edit("need", opened, **{uid: {"note": "loud"}})
    horn = desk.design.need[uid]
    assert (horn.rating, horn.note) == (5.0, "loud")
    assert set(horn.by_hand) == {"rating", "note"}


def test_the_same_field_shows_both_values_and_saves_nothing(desk: Desk) -> None:
    desk.save(need=[need()])
    uid = desk.uid("need", "Horn")
    opened = shown(desk.design, "need")
    desk.edit("need", opened, **{uid: {"rating": 5.0}})
    with pytest.raises(RowsRefused) as caught:
        desk.edit("need", opened, **{uid: {"rating": 6.0, "note": "loud"}})
    (problem,) = caught.value.problems
    assert caught.value.clash
    assert problem.field == "rating"
    assert "set this to 5" in problem.sentence
    assert "you have 6" in problem.sentence
    assert caught.value.now["need"][uid]["rating"] == 5.0
    assert desk.design.need[uid].note == ""


def test_a_row_taken_out_meanwhile(desk: Desk) -> None:
    desk.save(need=[need()])
    uid = desk.uid("need", "Horn")
    opened = shown(desk.design, "need")
    desk.edit("need", opened, **{uid: None})
    assert desk.edit("need", opened) == ""
    with pytest.raises(RowsRefused, match="taken this need out meanwhile") as caught:
        desk.edit("need", opened, **{uid: {"rating": 5.0}})
    assert caught.value.clash


def test_a_row_changed_meanwhile_is_not_taken_out(desk: Desk) -> None:
    desk.save(need=[need()])
    uid = desk.uid("need", "Horn")
    opened = shown(desk.design, "need")
    desk.edit("need", opened, **{uid: {"rating": 5.0}})
    with pytest.raises(RowsRefused, match="look at it again before you take it out"):
        desk.edit("need", opened, **{uid: None})
    assert uid in desk.design.need


def test_a_row_that_somebody_added_meanwhile_stays(desk: Desk) -> None:
    desk.save(need=[need()])
    opened = shown(desk.design, "need")
    desk.save(need=[need(name="Lamp", kind="lamp")])
    desk.edit("need", opened, **{desk.uid("need", "Horn"): None})
    assert [each.name for each in desk.design.need.values()] == ["Lamp"]


def test_new_rows_stand_where_they_were_typed(desk: Desk) -> None:
    desk.save(need=[need(name="A"), need(name="C")])
    a, c = (desk.uid("need", name) for name in "AC")
    values = shown(desk.design, "need")
    rows = [TypedRow(a, values[a]), need(name="B"), TypedRow(c, values[c]), need(name="D")]
    desk.save(need=rows)
    assert [each.name for each in desk.design.need.values()] == ["A", "B", "C", "D"]
    desk.save(need=[need(name="0"), TypedRow(a, values[a])])
    assert [each.name for each in desk.design.need.values()] == ["0", "A", "B", "C", "D"]


def test_a_row_sent_twice_is_a_new_one_the_second_time(desk: Desk) -> None:
    desk.save(need=[need()])
    uid = desk.uid("need", "Horn")
    values = shown(desk.design, "need")[uid]
    desk.save(need=[TypedRow(uid, values), TypedRow(uid, values | {"name": "Horn 2"})])
    assert [each.name for each in desk.design.need.values()] == ["Horn", "Horn 2"]


@pytest.mark.parametrize(
    ("new", "field", "words"),
    [
        ({"name": "Airbag lamp"}, "name", "Restraint circuits"),
        ({"name": "Air-bag feed"}, "name", "Restraint circuits"),
        ({"name": "Belt pretensioner"}, "name", "Restraint circuits"),
        ({"name": "SRS feed"}, "name", "Restraint circuits"),
        ({"name": "Mains charger"}, "name", "up to 60 V DC"),
        ({"name": "Kettle 230 V"}, "name", "230 V is refused"),
        ({"name": "Heater 110VAC"}, "name", "110 V is refused"),
        ({"name": "Traction battery feed"}, "name", "licensed"),
        ({"rated_at_v": 61.0}, "rated_at_v", "61 V is refused"),
        ({"rating": 20_000.0}, "rating", "10"),
        ({"control_place": ""}, "control_place", "Say where the push button sits"),
        ({"inrush_a": 4.0}, "inrush_s", "Inrush needs both"),
        ({"inrush_s": 4.0}, "inrush_a", "Inrush needs both"),
        ({"switched_with": "Bell"}, "switched_with", "No need is called “Bell”"),
        ({"switched_with": "horn"}, "switched_with", "the need itself"),
    ],
)
def test_needs_that_are_refused(desk: Desk, new: dict[str, Any], field: str, words: str) -> None:
    found = desk.refusals(need=[need(name="Lamp"), need(**new)])
    assert [(index, where) for index, where, _ in found] == [(1, field)]
    assert words in found[0][2]
    assert not desk.design.need
    assert not desk.design.place


@pytest.mark.parametrize(
    "name", ["Pump 12 V", "Horn 24V", "Radio VHF", "Mainsail lamp", "48 V fan"]
)
def test_names_that_are_not_refused(desk: Desk, name: str) -> None:
    desk.save(need=[need(name=name)])
    assert desk.uid("need", name)


def test_every_row_is_told_what_is_wrong_with_it(desk: Desk) -> None:
    found = desk.refusals(
        need=[need(), need(name=" horn"), need(name="Lamp", rated_at_v=80.0)],
        run=[TypedRow(None, RUN), TypedRow(None, RUN | {"to_place": "Helm"})],
    )
    assert {(index, field) for index, field, _ in found} == {
        (0, "name"), (1, "name"), (2, "rated_at_v"), (1, "to_place"),
    }  # fmt: skip


def test_runs_that_are_refused(desk: Desk) -> None:
    desk.save(run=[TypedRow(None, RUN)])
    back = RUN | {"from_place": "Foredeck", "to_place": "helm"}
    assert "have a run between them already" in desk.refusals(run=[TypedRow(None, back)])[0][2]
    same = RUN | {"to_place": "helm"}
    assert "Both ends are the same" in desk.refusals(run=[TypedRow(None, same)])[0][2]


def test_a_place_in_use_is_not_taken_out(desk: Desk) -> None:
    desk.save(need=[need()], run=[TypedRow(None, RUN)])
    opened = shown(desk.design, "place")
    uid = desk.uid("place", "helm")
    with pytest.raises(RowsRefused) as caught:
        desk.edit("place", opened, **{uid: None})
    (problem,) = caught.value.problems
    assert problem.uid == uid
    assert problem.sentence == (
        "The place helm cannot be taken out: the run helm to foredeck and the need Horn use it. "
        "Change that first."
    )


def test_a_place_and_what_uses_it_can_go_together(desk: Desk) -> None:
    desk.save(need=[need()])
    places, needs = shown(desk.design, "place"), shown(desk.design, "need")
    sheet = {"place": TypedTable((), places), "need": TypedTable((), needs)}
    save(desk.session, desk.loom_id, sheet, desk.person_id)
    assert not desk.design.place


def test_a_renamed_place_keeps_its_rows_even_under_the_old_name(desk: Desk) -> None:
    desk.save(need=[need()])
    uid = desk.uid("place", "helm")
    rows = [TypedRow(uid, {"name": "wheel", "note": ""})]
    desk.save(place=rows, need=[need(name="Bell")])
    assert sorted(place.name for place in desk.design.place.values()) == ["foredeck", "wheel"]
    assert desk.design.need[desk.uid("need", "Bell")].control_place_uid == uid


def test_two_places_of_one_name_are_refused(desk: Desk) -> None:
    rows = [TypedRow(None, {"name": name, "note": ""}) for name in ("helm", "Helm")]
    assert "called" in desk.refusals(place=rows)[0][2]


def test_needs_and_runs_that_are_wired_are_not_taken_out(desk: Desk) -> None:
    desk.save(need=[need()], run=[TypedRow(None, RUN)])
    (horn,), (run,) = desk.design.need.values(), desk.design.run.values()
    revision_id = revisions.latest(desk.session, desk.loom_id).id
    rows = [
        Circuit(uid="c", number=7, name="Horn", need_uid=horn.uid),
        Link(uid="l", number=3, circuit_uid="c", route=(run.uid,)),
        Fitting(uid="f", place_uid=horn.place_uid, name="Horn itself", kind="load"),
        Way(uid="w", fitting_uid="f", label="+", contact="tab 6.3"),
        Way(uid="v", fitting_uid="f", label="-", contact="tab 6.3"),
        Bridge(uid="b", fitting_uid="f", way_a_uid="w", way_b_uid="v", kind="load",
               need_uid=horn.uid),
    ]  # fmt: skip
    write(desk.session, revision_id, "Wire it", [added(row) for row in rows], None)
    with pytest.raises(RowsRefused, match="circuit 7 and the fitting Horn itself use it"):
        desk.edit("need", shown(desk.design, "need"), **{horn.uid: None})
    with pytest.raises(RowsRefused, match="helm to foredeck cannot be taken out: wire 3 uses it"):
        desk.edit("run", shown(desk.design, "run"), **{run.uid: None})


def test_a_need_that_another_is_switched_with_is_not_taken_out(desk: Desk) -> None:
    desk.save(need=[need(), need(name="Bell", switched_with="horn")])
    bell = desk.design.need[desk.uid("need", "Bell")]
    horn = desk.uid("need", "Horn")
    assert bell.switched_with_uid == horn
    with pytest.raises(RowsRefused, match="the need Bell, which is switched with it"):
        desk.edit("need", shown(desk.design, "need"), **{horn: None})


def test_the_basis_is_changed_and_its_places_are_made(desk: Desk) -> None:
    new = {
        "supply_place": "battery box",
        "plug_places": ["helm", "Helm", "roof"],
        "ambient_c": 35.0,
    }
    assert desk.save(basis=[TypedRow("basis", new)]) == (
        "What the sizing rests on: changed; places: 3 added"
    )
    basis = desk.design.basis
    names = [desk.design.place[uid].name for uid in basis.plug_place_uids]
    assert names == ["helm", "roof"]
    assert basis.ambient_c == 35.0


@pytest.mark.parametrize(
    ("new", "field"),
    [
        ({"heat_at_v": 70.0}, "heat_at_v"),
        ({"drop_at_v": 15.0}, "drop_at_v"),
        ({"supply_mohm_old_cold": 1.0}, "supply_mohm_old_cold"),
    ],
)
def test_a_basis_that_cannot_be(desk: Desk, new: dict[str, Any], field: str) -> None:
    assert desk.refusals(basis=[TypedRow("basis", new)])[0][1] == field


def test_another_cable_brings_its_insulation(desk: Desk) -> None:
    desk.save(basis=[TypedRow("basis", {"cable_kind": "iso6722", "insulation": "xlpe"})])
    assert desk.design.basis.insulation == "xlpe"
    desk.save(basis=[TypedRow("basis", {"cable_kind": "iec60228-class5"})])
    assert desk.design.basis.insulation == "pvc"


def test_an_edit_after_sign_off_begins_the_next_revision(desk: Desk) -> None:
    desk.save(need=[need()])
    first = revisions.latest(desk.session, desk.loom_id)
    revisions.freeze(desk.session, first.id, desk.person_id, {})
    assert desk.edit("need", shown(desk.design, "need")) == ""
    assert revisions.latest(desk.session, desk.loom_id).number == 1
    uid = desk.uid("need", "Horn")
    desk.edit("need", shown(desk.design, "need"), **{uid: {"rating": 5.0}})
    assert revisions.latest(desk.session, desk.loom_id).number == 2
    assert desk.design.need[uid].rating == 5.0


def test_a_loom_that_is_not_there(session: Session) -> None:
    with pytest.raises(NotThere):
        entry.latest(session, 99)


def test_a_place_can_be_taken_out_and_typed_anew(desk: Desk) -> None:
    desk.save(place=[TypedRow(None, {"name": "helm", "note": ""})])
    opened = shown(desk.design, "place")
    rows = (TypedRow(None, {"name": "Helm", "note": "new"}),)
    save(desk.session, desk.loom_id, {"place": TypedTable(rows, opened)}, desk.person_id)
    assert [(place.name, place.note) for place in desk.design.place.values()] == [("Helm", "new")]
