"""One field of several wires in one go: all of it as one step, or nothing, named wire by wire."""

from dataclasses import replace

import pytest
from sqlalchemy.orm import Session

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from tests.stages.office import begin_job
from webapp.stages import catalogue
from webapp.stages.design import commands, revisions
from webapp.stages.design.commands import difference
from webapp.stages.design.editing import together, wires
from webapp.stages.design.editing.edit import Edit, save
from webapp.stages.design.editing.together import SomeRefused, Target, change, new_circuit, remove
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import ROW_TYPES, Design, load
from webapp.stages.design.wires import wires as wires_of

PROPOSED = propose(
    design([lamp(f"lamp{n}", name=f"Lamp {n}") for n in range(4)], plug_place_uids=("helm",)),
    CATALOGUE,
).design
CUT = [wire.link.uid for wire in wires_of(PROPOSED) if wire.segment == 1]
WHOLE = [uid for uid in PROPOSED.link if uid not in CUT]


def targets(uids: list[str], field: str = "") -> list[Target]:
    """As the page sends them: with what it showed."""
    return [
        Target(uid, seen=getattr(PROPOSED.link[uid], field)) if field else Target(uid)
        for uid in uids
    ]


def done(field: str, wanted: object, uids: list[str], of: Design = PROPOSED) -> Edit:
    return change(field, wanted, targets(uids), str(wanted))(of, CATALOGUE)


def test_a_field_of_several_wires_is_set_by_hand_and_nothing_else_changes() -> None:
    uids = WHOLE[:2] + CUT[:1]
    edit = change("note", "by the hatch", targets(uids, "note"), "by the hatch")(
        PROPOSED, CATALOGUE
    )
    changes = difference(PROPOSED, edit.design)
    assert {each.uid for each in changes} == set(uids)
    assert all(edit.design.link[uid].note == "by the hatch" for uid in uids)
    assert all("note" in edit.design.link[uid].by_hand for uid in uids)
    assert edit.sentence.startswith("Wires ")
    assert edit.sentence.endswith("note by the hatch")


def test_a_section_for_several_is_what_each_alone_would_have_become() -> None:
    uids = CUT[:3]
    at_once = done("csa_mm2", 4.0, uids).design
    one_by_one = PROPOSED
    for uid in uids:
        one_by_one = wires.section(uid, 4.0)(one_by_one, CATALOGUE).design
    assert at_once == one_by_one
    assert at_once != PROPOSED


def test_what_stands_in_the_way_is_named_and_nothing_is_half_done() -> None:
    red = wires.colour(CUT[1], "main", "red")(PROPOSED, CATALOGUE).design
    plain = wires.colour(CUT[0], "tracer", "")(red, CATALOGUE).design
    plain = wires.colour(CUT[0], "main", "brown")(plain, CATALOGUE).design
    before = dict(plain.link)
    with pytest.raises(SomeRefused) as refused:
        done("tracer", "red", CUT[:2], plain)
    (row,) = refused.value.rows
    assert row.link_uid == CUT[1]
    assert row.number == str(PROPOSED.link[CUT[1]].number)
    assert "must differ" in row.sentence
    assert not refused.value.clash
    assert plain.link == before


def test_a_clash_names_the_wire_and_what_it_holds_now() -> None:
    theirs = wires.note(CUT[0], "theirs")(PROPOSED, CATALOGUE).design
    with pytest.raises(SomeRefused) as refused:
        change("note", "mine", targets(CUT[:2], "note"), "mine")(theirs, CATALOGUE)
    (row,) = refused.value.rows
    assert (row.link_uid, row.clash, row.theirs) == (CUT[0], True, "theirs")
    assert refused.value.clash


def test_a_wire_that_is_gone_is_named() -> None:
    with pytest.raises(SomeRefused) as refused:
        change("note", "x", [Target("none"), Target(CUT[0])], "x")(PROPOSED, CATALOGUE)
    assert [row.link_uid for row in refused.value.rows] == ["none"]


def test_a_length_asks_which_of_a_cut_links_wires() -> None:
    with pytest.raises(SomeRefused) as refused:
        done("length_mm", 900, [WHOLE[0], CUT[0]])
    assert [row.link_uid for row in refused.value.rows] == [CUT[0]]
    edit = change("length_mm", 900, [Target(WHOLE[0]), Target(CUT[0], 1)], "900")(
        PROPOSED, CATALOGUE
    )
    assert edit.design.link[CUT[0]].lengths_mm == {"1": 900}
    assert edit.design.link[WHOLE[0]].lengths_mm == {"0": 900}


def test_of_many_wires_the_sentence_names_the_first_few() -> None:
    edit = done("note", "x", list(PROPOSED.link))
    assert edit.sentence.startswith(f"{len(PROPOSED.link)} wires (1, 2, 3, 4, 5 …)")
    assert change("note", "", targets(CUT[:1]))(PROPOSED, CATALOGUE).sentence.endswith("no note")


def test_a_new_circuit_takes_the_wires_along() -> None:
    edit = new_circuit("Deck", "cabin lamps", CUT[:2])(PROPOSED, CATALOGUE)
    (made,) = edit.design.circuit.keys() - PROPOSED.circuit.keys()
    assert [uid for uid, link in edit.design.link.items() if link.circuit_uid == made] == CUT[:2]
    assert "Deck, with wires" in edit.sentence
    alone = new_circuit("Deck", "cabin lamps", [])(PROPOSED, CATALOGUE)
    assert alone.design.link == PROPOSED.link


def test_several_wires_are_taken_out_as_one() -> None:
    edit = remove(CUT[:2])(PROPOSED, CATALOGUE)
    assert PROPOSED.link.keys() - edit.design.link.keys() == set(CUT[:2])
    assert not [end for end in edit.design.wire_end.values() if end.link_uid in CUT[:2]]
    assert not [each for each in edit.design.crossing.values() if each.link_uid in CUT[:2]]
    assert set(CUT[:2]) <= edit.design.removed.keys()
    with pytest.raises(SomeRefused):
        remove([CUT[0], "none"])(PROPOSED, CATALOGUE)


def test_every_field_on_offer_can_be_set() -> None:
    values = {
        "circuit_uid": next(iter(PROPOSED.circuit)), "main": "violet", "tracer": "",
        "csa_mm2": 6.0, "length_mm": 777, "note": "n",
    }  # fmt: skip
    assert values.keys() == together.FIELDS.keys()
    for field, wanted in values.items():
        done(field, wanted, WHOLE[:1])


def test_the_design_of_a_saved_edit_is_what_is_read_anew(session: Session) -> None:
    catalogue.load_seed(session)
    begin_job(session)
    revision_id = revisions.open_for_edit(session, 1)
    start = load(session, revision_id)
    begun = replace(PROPOSED, basis=replace(PROPOSED.basis, uid=start.basis.uid))
    commands.write(session, revision_id, "Propose", difference(start, begun), None)
    for editing in (
        change("csa_mm2", 4.0, targets(CUT[:2]), "4 mm²"),
        new_circuit("Deck", "other", WHOLE[:1]),
        remove(CUT[1:3]),
        wires.length(CUT[0], 1, 1234),
    ):
        edit = save(session, 1, editing, None)
        read = load(session, revision_id)
        assert edit.design == read
        for table in ROW_TYPES:
            assert list(edit.design.table(table)) == list(read.table(table))
