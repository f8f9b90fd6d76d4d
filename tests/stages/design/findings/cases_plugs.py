"""Cases of the rules about plugs and coverings."""

from dataclasses import replace

from tests.stages.design.findings import samples
from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import SOUND, with_rows
from webapp.stages.design.rows import Design


def alone() -> Design:
    """A plug whose mate is not in the loom."""
    half = next(fitting for fitting in SOUND.fitting.values() if fitting.kind == "plug")
    return with_rows("fitting", **{half.uid: replace(half, mate_uid=None)})


def odd_half() -> Design:
    """A half whose part is not chosen."""
    half = next(fitting for fitting in SOUND.fitting.values() if fitting.kind == "plug")
    return with_rows("fitting", **{half.uid: replace(half, part_uid=None)})


def odd_colour() -> Design:
    """Two single wires that meet in a way of a plug, in two colours."""
    half = next(each for each in SOUND.fitting.values() if each.mate_uid and each.run_uid)
    way = next(each for each in SOUND.ways_of[half.uid])
    mate = next(each for each in SOUND.ways_of[half.mate_uid or ""] if each.label == way.label)
    through = next(
        each for each in SOUND.crossing.values() if {each.way_a_uid, each.way_b_uid} & {way.uid}
    )
    link = SOUND.link[through.link_uid]
    near, far = (through.way_a_uid, through.way_b_uid)
    assert {near, far} == {way.uid, mate.uid}
    first = replace(link, to_way_uid=near)
    second = replace(link, uid="second", number=999, from_way_uid=far, main="pink")
    crossings = {uid: row for uid, row in SOUND.crossing.items() if uid != through.uid}
    return replace(
        SOUND, crossing=crossings, link={**SOUND.link, link.uid: first, "second": second}
    )


CASES = (
    Case("halves coloured unlike", odd_colour),
    Case("halves differ", samples.half_empty),
    Case("no mate", alone),
    Case("mates unequal", odd_half, mended=True),
    Case("plug off the route", samples.off_route),
    Case("spare ways", samples.half_left),
    Case(
        "no covering",
        lambda: with_rows("run", r0=replace(SOUND.run["r0"], covering_part_uid=None)),
        mended=True,
    ),
    Case("run unused", lambda: with_rows("run", r9=replace(SOUND.run["r0"], uid="r9"))),
)
