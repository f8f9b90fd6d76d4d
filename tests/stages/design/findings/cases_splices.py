"""Cases of the rules about where splices lie."""

from dataclasses import replace

from tests.stages.design.findings.case import Case
from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Fitting, Run
from webapp.stages.design.splices import is_splice


def lamps() -> Design:
    """Lamps in twos and threes on one switch each: splices at the bow and at the helm."""
    needs = [
        lamp("two", name="Bow lamps", quantity=2),
        lamp("three", name="Deck lamps", quantity=3),
    ]
    return propose(design(needs, plug_place_uids=()), CATALOGUE).design


SPLICED = lamps()


def splices() -> list[Fitting]:
    return [each for each in SPLICED.fitting.values() if is_splice(each)]


def moved(*rows: Fitting) -> Design:
    return replace(SPLICED, fitting=SPLICED.fitting | {row.uid: row for row in rows})


def side_by_side() -> Design:
    run_uid = splices()[0].along_run_uid
    first, second = [each for each in splices() if each.along_run_uid == run_uid][:2]
    return moved(replace(second, along_mm=(first.along_mm or 0) + 20))


def unplaced() -> Design:
    return moved(*(replace(each, along_run_uid=None, along_mm=None) for each in splices()))


def branching() -> Design:
    """A third run from the splice's place makes it a breakout."""
    place_uid = splices()[0].place_uid
    others = [uid for uid in SPLICED.place if uid != place_uid]
    runs = {
        f"branch{number}": Run(
            uid=f"branch{number}", from_place_uid=place_uid, to_place_uid=other, length_mm=500
        )
        for number, other in enumerate(others)
    }
    return replace(
        moved(*(replace(each, along_mm=30) for each in splices()[:1])), run=SPLICED.run | runs
    )


def bent() -> Design:
    splice = splices()[0]
    run = SPLICED.run[splice.along_run_uid or ""]
    at_mm = splice.along_mm or 0
    from_start = splice.place_uid == run.from_place_uid
    bend_at_mm = at_mm if from_start else (run.length_mm or 0) - at_mm
    return replace(SPLICED, run=SPLICED.run | {run.uid: replace(run, bend_at_mm=bend_at_mm)})


CASES = (
    Case("splice near another", side_by_side, lambda: SPLICED, mended=True),
    Case("splice in a breakout", branching, lambda: SPLICED, mended=True),
    Case("splice in a bend", bent, lambda: SPLICED, mended=True),
)
