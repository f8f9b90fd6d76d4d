"""Splices set back into runs, and what a proposal chooses for each run."""

from dataclasses import replace
from itertools import pairwise

import pytest

from tests.stages.design.findings.cases_splices import SPLICED, splices
from tests.stages.design.need_lists import CATALOGUE
from webapp.sizing.splices import CLEAR_MM, to_bend_mm, to_breakout_mm
from webapp.stages.design.proposal.runs import cover_runs
from webapp.stages.design.proposal.splices import place_splices
from webapp.stages.design.rows import Design
from webapp.stages.design.splices import along, breakouts, lies_in_words, stretch
from webapp.stages.design.wires import wires


def clear(after: Design) -> None:
    breaking = breakouts(after)
    for run_uid, lying in along(after).items():
        run = stretch(after.run[run_uid], breaking)
        places = sorted(at for _, at in lying)
        assert all(b - a >= CLEAR_MM for a, b in pairwise(places))
        for at in places:
            assert to_breakout_mm(run, at) >= CLEAR_MM
            assert to_bend_mm(run, at) >= CLEAR_MM


def test_splices_of_one_run_are_staggered() -> None:
    assert all(splice.along_run_uid for splice in splices())
    assert any(len(lying) > 1 for lying in along(SPLICED).values())
    clear(SPLICED)
    assert place_splices(SPLICED) == SPLICED


def test_splices_keep_clear_of_a_bend_and_of_what_a_person_has_placed() -> None:
    first = splices()[0]
    run = SPLICED.run[first.along_run_uid or ""]
    at_end = first.place_uid == run.to_place_uid
    bend_at_mm = (run.length_mm or 0) - 60 if at_end else 60
    held = replace(first, along_mm=200, by_hand=("along_mm", "along_run_uid"))
    bent = replace(
        SPLICED,
        run=SPLICED.run | {run.uid: replace(run, bend_at_mm=bend_at_mm, bend_radius_mm=40)},
        fitting=SPLICED.fitting | {held.uid: held},
    )
    after = place_splices(bent)
    assert after.fitting[held.uid] == held
    clear(after)


def test_a_run_too_short_leaves_its_splices_at_their_place() -> None:
    short = replace(
        SPLICED, run={uid: replace(run, length_mm=50) for uid, run in SPLICED.run.items()}
    )
    after = place_splices(short)
    assert all(after.fitting[splice.uid].along_mm is None for splice in splices())
    assert lies_in_words(after, after.fitting[splices()[0].uid]) == ""


def test_wires_are_as_long_as_the_way_to_where_the_splice_lies() -> None:
    at_place = replace(
        SPLICED,
        fitting={
            uid: replace(fitting, along_run_uid=None, along_mm=None)
            for uid, fitting in SPLICED.fitting.items()
        },
    )
    before = {wire.uid: wire for wire in wires(at_place)}
    changes = []
    for wire in wires(SPLICED):
        lying = [
            SPLICED.fitting[SPLICED.way[end.way_uid].fitting_uid]
            for end in wire.ends
            if end.way_uid
        ]
        back = [each for each in lying if each.along_mm is not None]
        wanted = sum(
            -(each.along_mm or 0)
            if each.along_run_uid in (wire.route or ())
            else each.along_mm or 0
            for each in back
        )
        changed = (wire.length_mm or 0) - (before[wire.uid].length_mm or 0)
        assert changed == pytest.approx(wanted, abs=10), wire.number
        changes.append(changed)
    assert min(changes) < 0 < max(changes)


def test_the_opening_follows_what_the_run_says_that_it_passes() -> None:
    kinds = []
    for words in ("", "grommet", "Gland in the bulkhead", "hawse pipe"):
        asked = replace(
            SPLICED,
            run=SPLICED.run
            | {
                uid: replace(each, through=words, through_part_uid=None)
                for uid, each in SPLICED.run.items()
            },
        )
        covered, said = cover_runs(asked, CATALOGUE)
        assert said == []
        used = {uid for wire in wires(asked) for uid in wire.route or ()}
        chosen = {covered.run[uid].through_part_uid for uid in used}
        kinds.append({CATALOGUE.parts[uid].kind for uid in chosen if uid})
    assert kinds == [set(), {"grommet"}, {"gland"}, set()]


def test_an_opening_chosen_by_hand_stays_and_one_too_hot_is_named() -> None:
    uid = splices()[0].along_run_uid or ""
    by_hand = replace(
        SPLICED.run[uid],
        through="gland",
        through_part_uid="gland-M63",
        by_hand=("through_part_uid",),
    )
    covered, _ = cover_runs(replace(SPLICED, run=SPLICED.run | {uid: by_hand}), CATALOGUE)
    assert covered.run[uid].through_part_uid == "gland-M63"
    hot = replace(SPLICED.run[uid], through="gland", surround_c=120.0, covering="")
    covered, said = cover_runs(replace(SPLICED, run=SPLICED.run | {uid: hot}), CATALOGUE)
    assert covered.run[uid].through_part_uid is None
    assert "at 120 °C, gland:" in said[0].sentence
