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


CASES = (
    Case("halves differ", samples.half_empty),
    Case("no mate", alone),
    Case("mates unequal", odd_half, mended=True),
    Case("plug off the route", samples.off_route),
    Case("spare ways", samples.half_left),
    Case(
        "no covering",
        lambda: with_rows("run", r0=replace(SOUND.run["r0"], covering_part_uid=None)),
    ),
    Case("run unused", lambda: with_rows("run", r9=replace(SOUND.run["r0"], uid="r9"))),
)
