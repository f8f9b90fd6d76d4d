"""Wires led to other ways of their fitting."""

from dataclasses import replace

import pytest

from tests.stages.design.editing.test_plug_cases import fork
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing import plugs
from webapp.stages.design.editing.edit import Edit
from webapp.stages.design.editing.ways import at_way, contact, lead
from webapp.stages.design.halves import halves_at
from webapp.stages.design.rows import Bridge, Design, Way
from webapp.stages.refusals import Refused

PLUGGED = plugs.put_in("fork", "trunk")(fork({}, {}, {}, {}, {}), CATALOGUE).design
(HALF,) = halves_at(PLUGGED, "trunk", "fork")
WAYS = {way.label: way.uid for way in PLUGGED.ways_of[HALF.uid]}


def done(design: Design, link: str, start: str, end: str, **more: tuple[str, ...]) -> Edit:
    fitting = design.way[start].fitting_uid
    return lead(fitting, link, start, end, **more)(design, CATALOGUE)


def labels(design: Design) -> dict[str, tuple[str, str]]:
    return {
        each.link_uid: (design.way[each.way_a_uid].label, design.way[each.way_b_uid].label)
        for each in design.crossing.values()
    }


def first() -> str:
    return next(each for each, (label, _) in labels(PLUGGED).items() if label == "1")


def test_a_wire_goes_to_a_spare_way_of_both_halves_and_back() -> None:
    link = first()
    there = done(PLUGGED, link, WAYS["1"], WAYS["6"], seen=()).design
    assert labels(there) == labels(PLUGGED) | {link: ("6", "6")}
    back = done(there, link, WAYS["6"], WAYS["1"]).design
    assert labels(back) == labels(PLUGGED)
    assert back.wire_end.keys() == PLUGGED.wire_end.keys()


def test_from_the_other_half_it_is_the_same() -> None:
    link, mate = first(), HALF.mate_uid or ""
    others = {way.label: way.uid for way in PLUGGED.ways_of[mate]}
    assert labels(done(PLUGGED, link, others["1"], others["6"]).design) == labels(
        done(PLUGGED, link, WAYS["1"], WAYS["6"]).design
    )


def test_a_taken_way_changes_places_in_one_step() -> None:
    link = first()
    second = next(each for each, (label, _) in labels(PLUGGED).items() if label == "2")
    edit = done(PLUGGED, link, WAYS["1"], WAYS["2"], seen=(second,))
    assert labels(edit.design) == labels(PLUGGED) | {link: ("2", "2"), second: ("1", "1")}
    assert edit.sentence.startswith("Wires ")
    assert "change places in" in edit.sentence


def test_a_wire_that_ends_at_a_half_takes_the_one_that_faces_it_along() -> None:
    """Of two wires, one ends at each half: they stay joined."""
    a, b = "link 1", "link 2"
    mates = {way.label: way.uid for way in PLUGGED.ways_of[HALF.mate_uid or ""]}
    design = replace(
        PLUGGED,
        crossing={k: v for k, v in PLUGGED.crossing.items() if v.link_uid not in (a, b)},
        link=PLUGGED.link
        | {
            a: replace(PLUGGED.link[a], to_way_uid=WAYS["6"]),
            b: replace(PLUGGED.link[b], from_way_uid=mates["6"]),
        },
    )
    free = next(each for each in ("1", "2") if not at_way(design, HALF, design.way[WAYS[each]]))
    after = done(design, a, WAYS["6"], WAYS[free]).design
    assert after.link[a].to_way_uid == WAYS[free]
    assert after.link[b].from_way_uid == mates[free]


def test_what_was_seen_and_is_no_longer_so_clashes() -> None:
    link = first()
    with pytest.raises(Clash):
        done(PLUGGED, link, WAYS["1"], WAYS["2"], seen=())
    with pytest.raises(Clash):
        done(PLUGGED, link, WAYS["6"], WAYS["2"])
    moved = done(PLUGGED, link, WAYS["1"], WAYS["6"]).design
    assert done(moved, link, WAYS["1"], WAYS["6"], seen=()).design == moved


def test_a_way_of_a_mate_that_is_missing_is_refused() -> None:
    gone = [way.uid for way in PLUGGED.ways_of[HALF.mate_uid or ""] if way.label == "6"]
    design = replace(PLUGGED, way={k: v for k, v in PLUGGED.way.items() if k not in gone})
    with pytest.raises(Refused, match="has no way 6 to face this one"):
        done(design, first(), WAYS["1"], WAYS["6"])


def with_way(design: Design, fitting: str, label: str, **more: object) -> Design:
    way = Way(uid=f"{fitting} {label}", fitting_uid=fitting, label=label, **more)  # type: ignore[arg-type]
    return replace(design, way=design.way | {way.uid: way})


def test_a_stud_takes_several_until_it_is_full() -> None:
    design = fork({}, {}, {})
    design = with_way(design, "left", "stud", contact="stud M6", takes=2)
    at = [design.link[f"link {n}"].to_way_uid or "" for n in (1, 2, 3)]
    for number in (1, 2):
        edit = done(design, f"link {number}", at[number - 1], "left stud")
        design = edit.design
        assert "change places" not in edit.sentence
    assert design.link["link 1"].to_way_uid == design.link["link 2"].to_way_uid == "left stud"
    with pytest.raises(Refused, match="takes 2 wires and has them: wire 1 and wire 2"):
        done(design, "link 3", at[2], "left stud")


def test_ends_at_another_kind_of_contact_are_made_anew() -> None:
    design = with_way(fork({}), "left", "stud", contact="stud M6", takes=1)
    made = replace(
        plugs.put_in("fork", "trunk")(design, CATALOGUE).design.wire_end["link 1:to"],
        strip_mm=99.0,
        by_hand=("strip_mm",),
    )
    design = replace(design, wire_end={made.uid: made})
    after = done(design, "link 1", design.link["link 1"].to_way_uid or "", "left stud").design
    assert after.wire_end["link 1:to"].strip_mm != 99.0


def test_both_ends_never_come_to_one_way() -> None:
    design = fork({})
    design = with_way(design, "left", "loop", contact="tab 6.3")
    link = replace(design.link["link 1"], from_way_uid="left loop")
    design = replace(design, link={"link 1": link})
    with pytest.raises(Refused, match="has its other end at this way"):
        done(design, "link 1", link.to_way_uid or "", "left loop")


def test_fuse_links_stay_where_they_are_and_that_is_said() -> None:
    design = fork({}, {})
    at = [design.link[f"link {n}"].to_way_uid or "" for n in (1, 2)]
    fuses = {
        f"fuse {n}": Bridge(
            uid=f"fuse {n}", fitting_uid="left", way_a_uid=at[0], way_b_uid=at[n], kind="fuse",
            fuse_a=(None, 8.0)[n],
        )
        for n in (0, 1)
    }  # fmt: skip
    edit = done(replace(design, bridge=fuses), "link 1", at[0], at[1])
    assert any("8 A" in said for said in edit.said)
    assert any("no fuse-link yet" in said for said in edit.said)


# Contacts of ways that grew from wires


def test_a_grown_ways_contact_is_said_and_its_ends_get_their_terminals() -> None:
    design = fork({}, {})
    edit = contact("left", "left 1", "tab 6.3", "stud M5")(design, CATALOGUE)
    assert [way.contact for way in edit.design.ways_of["left"]] == ["tab 6.3", "stud M5"]
    terminal = edit.design.wire_end["link 1:to"].terminal_part_uid
    assert CATALOGUE.parts[terminal or ""].text("contact") == "tab 6.3"
    every = contact("left", None, "tab 6.3")(edit.design, CATALOGUE).design
    assert [way.contact for way in every.ways_of["left"]] == ["tab 6.3", "tab 6.3"]


def test_contacts_that_are_none_or_are_the_parts_are_refused() -> None:
    design = fork({}, {})
    with pytest.raises(Refused, match="no terminal for this"):
        contact("left", "left 1", "a hook")(design, CATALOGUE)
    with pytest.raises(Clash):
        contact("left", None, "tab 6.3", "screw")(design, CATALOGUE)
    fitted = replace(design.fitting["left"], part_uid="relay")
    design = replace(design, fitting=design.fitting | {"left": fitted})
    with pytest.raises(Refused, match="Its part says"):
        contact("left", "left 1", "tab 6.3")(design, CATALOGUE)
