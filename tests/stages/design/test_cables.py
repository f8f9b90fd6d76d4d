"""Wires laid as one by a proposal: pairs, cables of cores, screens; what a person set stays."""

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.stages.design.laid import (
    CORES,
    LAID,
    PLUGGED,
    asked,
    links_in,
    need,
    proposed,
)
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.bundles import run_diameters
from webapp.stages.design.cables import (
    LAID_AS,
    SCREEN,
    laid_words,
    lay_mm,
    outsides_in_runs,
    pieces,
)
from webapp.stages.design.choices import is_battery_cable
from webapp.stages.design.editing.plugs import put_in, take_out
from webapp.stages.design.figures import Figures
from webapp.stages.design.findings import findings
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.design.warmth import SHEATH
from webapp.stages.design.wires import TWIST_TAKES_UP_PERCENT, Wire, wires


def test_a_feed_and_its_return_lie_in_one_cable_in_its_colours() -> None:
    feed, back = links_in(LAID, "cable of cores")
    part = CATALOGUE.parts[LAID.cable[feed.cable_uid or ""].part_uid or ""]
    assert (feed.main, back.main) == ("red", "black") == part.core_colours
    assert (feed.core, back.core) == ("red", "black")
    assert feed.csa_mm2 == back.csa_mm2 == part.number("csa_mm2")
    assert feed.cable_part_uid == back.cable_part_uid == part.uid
    assert laid_words(LAID, feed) == "core red of cable 2"


def test_a_screen_is_a_link_of_its_own_joined_at_the_supplys_end_alone() -> None:
    *cores, screen = links_in(LAID, "screened cable")
    assert [link.core for link in cores] == ["red", "black"]
    assert screen.core == SCREEN
    assert screen.to_way_uid is None
    assert screen.from_way_uid is not None
    assert LAID.fitting[LAID.way[screen.from_way_uid].fitting_uid].name == "Negative bar"
    assert screen.route == cores[0].route
    assert laid_words(LAID, screen) == "screen of cable 1"


def test_a_pair_is_of_two_wires_with_cables_of_their_own() -> None:
    feed, back = links_in(LAID, "twisted pair")
    assert LAID.cable[feed.cable_uid or ""].part_uid is None
    assert feed.main != back.main
    assert laid_words(LAID, back) == "one of pair 1"


def test_a_proposal_with_cables_has_no_error() -> None:
    for made in (LAID, PLUGGED):
        assert not [each for each in findings(made, CATALOGUE) if each.severity == "error"]


def test_the_same_proposal_again_changes_nothing() -> None:
    for made in (LAID, PLUGGED):
        assert propose(made, CATALOGUE).design == made


def test_a_plug_cuts_a_cable_where_it_cuts_its_cores() -> None:
    names = [piece.name for piece in pieces(PLUGGED)]
    assert names == ["Pair 1A", "Pair 1B", "Cable 1A", "Cable 1B", "Cable 2A", "Cable 2B"]
    first, second = (piece for piece in pieces(PLUGGED) if piece.cable.name == "Cable 1")
    assert [wire.link.core for wire in first.wires] == ["red", "black", SCREEN]
    assert first.route == ("near",)
    assert second.route == ("far",)


def test_a_piece_is_as_long_as_its_longest_core_and_stripped_for_it() -> None:
    (piece,) = (piece for piece in pieces(LAID) if piece.cable.name == "Cable 2")
    assert piece.length_mm == max(wire.length_mm or 0 for wire in piece.wires)
    near, far = (
        {LAID.place[end.place_uid or ""].name for end in piece.ends(side)} for side in (0, 1)
    )
    assert (near, far) == ({"helm"}, {"bow"})
    assert piece.sheath_off_mm(0) == max(end.made.allowance_mm for end in piece.ends(0))


def test_twisting_takes_up_wire() -> None:
    # A helix of lay L round a pair's middle line, each wire d thick: √(1 + (πd/L)²) times as long;
    # geometry. The tightest lay in use is 8 times the pair's diameter (NASA-STD-8739.4, from
    # memory): 1.9 %, which the allowance covers.
    by_geometry = math.sqrt(1 + (math.pi / 16) ** 2) - 1
    assert by_geometry == pytest.approx(0.0191, abs=0.0001)
    assert by_geometry * 100 < TWIST_TAKES_UP_PERCENT
    pair = {link.uid for link in links_in(LAID, "twisted pair")}
    (run_mm,) = {LAID.run["r1"].length_mm}
    for wire in wires(LAID):
        extra = sum(end.made.allowance_mm for end in wire.ends)
        if wire.link.uid in pair:
            assert run_mm is not None
            assert (wire.length_mm or 0) >= run_mm * 1.05 + extra


def test_the_lay_is_between_8_and_16_diameters_of_the_pair() -> None:
    for outside_mm in (1.6, 2.3, 3.3):
        assert 8 <= lay_mm(outside_mm) / (2 * outside_mm) <= 16


def test_a_bundle_counts_a_cable_once_by_its_outside() -> None:
    outsides = sorted(outsides_in_runs(LAID, CATALOGUE.parts)["r1"])
    parts = [CATALOGUE.parts[cable.part_uid] for cable in LAID.cable.values() if cable.part_uid]
    single = CATALOGUE.parts[links_in(LAID, "twisted pair")[0].cable_part_uid or ""]
    expected = [part.number("outside_mm") for part in parts]
    assert outsides == sorted([*expected, *2 * [single.number("outside_mm")]])
    assert run_diameters(LAID, CATALOGUE)["r1"] > max(expected)


def test_cores_count_as_wires_of_the_bundle_and_a_sheath_as_a_sleeve() -> None:
    bare = replace(LAID, run={uid: replace(run, covering="") for uid, run in LAID.run.items()})
    core = links_in(bare, "cable of cores")[0]
    (around,) = Figures(bare).surroundings(core)
    assert around.covering == SHEATH
    assert around.wires == 7
    single = replace(bare, cable={})
    (open_air,) = Figures(single).surroundings(core)
    assert open_air.covering == "none"


def test_wires_that_take_other_runs_stay_single_and_the_proposal_says_why() -> None:
    made = proposed(replace(CORES, control_place_uid="battery box"))
    assert not made.design.cable
    (said,) = (named for named in made.assumed if named.need_uid == "horn")
    assert "no feed and return of it take the same runs" in said.sentence
    assert "Laid as single wires" in said.sentence


def test_a_cable_that_the_stores_lack_is_said() -> None:
    none = Catalogue(
        {uid: part for uid, part in CATALOGUE.parts.items() if part.kind != "cable of cores"}
    )
    made = propose(asked(CORES), none)
    assert not made.design.cable
    assert any("the stores have no such cable" in named.sentence for named in made.assumed)


def test_a_wire_with_a_section_of_its_own_is_no_core() -> None:
    uid = links_in(LAID, "cable of cores")[0].uid
    thick = replace(LAID.link[uid], csa_mm2=6.0, by_hand=("csa_mm2",))
    again = propose(replace(LAID, link={**LAID.link, uid: thick}), CATALOGUE)
    assert again.design.link[uid].csa_mm2 == 6.0
    assert again.design.link[uid].cable_uid is None
    assert any("is set by hand" in named.sentence for named in again.assumed)


def test_what_a_person_chose_for_a_cable_is_kept() -> None:
    (cable,) = (cable for cable in LAID.cable.values() if cable.kind == "cable of cores")
    own = replace(
        cable, name="Horn lead", part_uid="cores-class5-tinned-3x2.5",
        by_hand=("name", "part_uid"),
    )  # fmt: skip
    again = propose(replace(LAID, cable={**LAID.cable, cable.uid: own}), CATALOGUE)
    assert again.design.cable[cable.uid].name == "Horn lead"
    feed, _ = links_in(again.design, "cable of cores")
    assert feed.csa_mm2 == 2.5
    assert any("Horn lead" in kept for kept in again.kept)


def test_a_removed_cable_and_a_wire_taken_out_stay_so() -> None:
    (cable,) = (cable for cable in LAID.cable.values() if cable.kind == "cable of cores")
    links = {
        uid: replace(link, cable_uid=None, core="", by_hand=("cable_uid", "core"))
        if link.cable_uid == cable.uid
        else link
        for uid, link in LAID.link.items()
    }
    cables = {uid: row for uid, row in LAID.cable.items() if uid != cable.uid}
    again = propose(replace(LAID, link=links, cable=cables), CATALOGUE).design
    assert cable.uid not in again.cable


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    laid_as=st.lists(st.sampled_from(LAID_AS), min_size=1, max_size=4),
    amps=st.floats(0.5, 8.0),
    place=st.sampled_from(["helm", "bow"]),
)
def test_plug_in_and_out_gives_back_the_same_wires(
    laid_as: list[str], amps: float, place: str
) -> None:
    needs = [
        need(f"load{n}", kind, rating=round(amps, 1), control="permanent")
        for n, kind in enumerate(laid_as)
    ]
    before = proposed(*needs, plug=True, fuse_board_place_uid="battery box").design
    before = _without_plugs(before)
    plugged = put_in(place, "r0" if place == "helm" else "far")(before, CATALOGUE).design
    halves = [uid for uid, row in plugged.fitting.items() if uid not in before.fitting]
    after = plugged
    for uid in halves:
        if uid in after.fitting:
            after = take_out(uid)(after, CATALOGUE).design
    assert [_plain(wire) for wire in wires(after)] == [_plain(wire) for wire in wires(before)]
    assert after.cable == before.cable
    assert [piece.name for piece in pieces(after)] == [piece.name for piece in pieces(before)]


def _without_plugs(design: Design) -> Design:
    for uid in list(design.fitting):
        if uid in design.fitting and design.fitting[uid].mate_uid:
            design = take_out(uid)(design, CATALOGUE).design
    return design


def _plain(wire: Wire) -> tuple[object, ...]:
    link = wire.link
    return (wire.uid, wire.number, wire.length_mm, wire.route, link.cable_uid, link.core, link.main)


@pytest.mark.parametrize("kind", ["iec60228-class5", "iso6722"])
@pytest.mark.parametrize("finish", ["plain", "tinned"])
def test_heavy_cables_at_the_battery_are_battery_cable_with_crimped_lugs(
    kind: str, finish: str
) -> None:
    starter = need(
        "starter", "single wires", kind="motor", rating=150.0, control="start solenoid",
        control_place_uid="helm", on_s=10.0, off_s=60.0,
    )  # fmt: skip
    made = proposed(starter, cable_kind=kind, cable_finish=finish, limit_c=100.0).design
    heavy = [
        wire for wire in wires(made) if is_battery_cable(made, wire.link, wire.link.csa_mm2 or 0.0)
    ]
    assert heavy
    for wire in heavy:
        part = CATALOGUE.parts[wire.link.cable_part_uid or ""]
        assert part.text("suits") == "battery"
        assert (part.text("conductor_kind"), part.text("finish")) == (kind, finish)
        assert part.number("limit_c") >= 100.0
        for end in wire.ends:
            lug = CATALOGUE.parts[end.made.terminal_part_uid or ""]
            assert lug.facts["crimped"]


def test_parts_in_the_stores_hold_together() -> None:
    for part in CATALOGUE.kind("cable of cores"):
        assert len(part.core_colours) == len(set(part.core_colours)) == part.number("cores")
        # No thinner than its cores laid flat against each other at their widest.
        assert part.number("outside_mm") > 2 * part.number("core_outside_mm")
