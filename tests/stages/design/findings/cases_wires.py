"""Cases of the rules about conductors, routes, lengths and loose ends."""

from dataclasses import replace
from functools import cache

from tests.stages.design.findings import samples
from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import SOUND, end, fed, link, loads, with_rows
from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Link


def loose(**made: object) -> Design:
    """The to-end of a wire left loose."""
    left = link(to_way_uid=None)
    uid = f"{fed().uid}:to"
    row = replace(SOUND.wire_end[uid], **{"loose_mm": 300, "tag": ""} | made)  # type: ignore[arg-type]
    return replace(left, wire_end=SOUND.wire_end | {uid: row})


@cache
def heavy() -> Design:
    """One lamp of ten ampere."""
    return propose(design([lamp(rating=120.0)]), CATALOGUE).design


def longest(after: Design) -> Link:
    return max(
        (each for each in after.link.values() if each.main != "black"),
        key=lambda each: (len(each.route or ()), -each.number),
    )


def thin() -> Design:
    """The lamp's feed far too thin for its fuse-link, of which no smaller one would do."""
    wire = longest(heavy())
    return replace(heavy(), link=heavy().link | {wire.uid: replace(wire, csa_mm2=1.0)})


def beside() -> Design:
    """Two thin wires side by side in the place of one."""
    wire = replace(longest(heavy()), csa_mm2=1.0)
    twin = replace(wire, uid="twin", number=99)
    return replace(heavy(), link=heavy().link | {wire.uid: wire, twin.uid: twin})


def aerial() -> Design:
    circuit = SOUND.circuit[fed().circuit_uid]
    return with_rows("circuit", **{circuit.uid: replace(circuit, name="Radio aerial lead")})


CASES = (
    Case("conductor", lambda: link(csa_mm2=None)),
    Case("conductor too small", lambda: loads(load_a=28.0), mended=True),
    Case("fuse too big for wire", thin, heavy, mended=True),
    Case("parallel wires", beside, heavy, mended=True),
    Case("conductor too hot", samples.crammed),
    Case("minimum section", lambda: link(csa_mm2=0.5), mended=True),
    Case("no route", lambda: link(route=None)),
    Case(
        "route does not fit",
        lambda: link(route=("r0",)) if fed().route != ("r0",) else link(route=()),
    ),
    Case("no length", lambda: with_rows("run", r0=replace(SOUND.run["r0"], length_mm=None))),
    Case("short length", lambda: link(lengths_mm={"0": 10}), mended=True),
    Case("end goes nowhere", lambda: link(to_way_uid=None), loose),
    Case("loose end untagged", loose, lambda: loose(tag="to the mast")),
    Case("missing tag", lambda: end(tag=""), mended=True),
    Case("lead kept out", aerial),
)
