"""Cases of the rules about conductors, routes, lengths and loose ends."""

from dataclasses import replace

from tests.stages.design.findings import samples
from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import SOUND, fed, fuse, link, loads, with_rows
from webapp.stages.design.rows import Design


def loose(**made: object) -> Design:
    """The to-end of a wire left loose."""
    left = link(to_way_uid=None)
    uid = f"{fed().uid}:to"
    row = replace(SOUND.wire_end[uid], **{"loose_mm": 300, "tag": ""} | made)  # type: ignore[arg-type]
    return replace(left, wire_end=SOUND.wire_end | {uid: row})


CASES = (
    Case("conductor", lambda: link(csa_mm2=None)),
    Case("conductor too small", lambda: loads(load_a=28.0), mended=True),
    Case("fuse too big for wire", lambda: fuse(fuse_a=30.0), mended=True),
    Case("conductor too hot", samples.crammed),
    Case("minimum section", lambda: link(csa_mm2=0.5)),
    Case("no route", lambda: link(route=None)),
    Case(
        "route does not fit",
        lambda: link(route=("r0",)) if fed().route != ("r0",) else link(route=()),
    ),
    Case("no length", lambda: with_rows("run", r0=replace(SOUND.run["r0"], length_mm=None))),
    Case("short length", lambda: link(lengths_mm={"0": 10})),
    Case("no colour", lambda: link(main="")),
    Case("end goes nowhere", lambda: link(to_way_uid=None), loose),
    Case("loose end untagged", loose, lambda: loose(tag="to the mast")),
)
