"""Cases of the rules about studs, crimps, heat-shrink and sealed plugs."""

from dataclasses import replace

from tests.stages.design.findings.case import Case
from tests.stages.design.findings.cases_splices import SPLICED, splices
from tests.stages.design.findings.samples import SOUND, end, fed
from webapp.stages.design.rows import Design


def on_one_stud(count: int) -> Design:
    """So many wires more on the earth stud or whatever stud has one."""
    stud = next(way for way in SOUND.way.values() if way.contact.startswith("stud"))
    source = fed()
    links = {
        f"more{number}": replace(source, uid=f"more{number}", number=90 + number,
                                 from_way_uid=stud.uid)
        for number in range(count)
    }  # fmt: skip
    return replace(SOUND, link=SOUND.link | links)


def full_splice() -> Design:
    """A part for three wires on a splice of more."""
    splice = max(splices(), key=lambda each: len(SPLICED.ways_of[each.uid]))
    rows = SPLICED.fitting | {splice.uid: replace(splice, part_uid="splice-35-3")}
    return replace(SPLICED, fitting=rows)


def sealed(**values: object) -> Design:
    """The plug at the helm as a sealed one of more ways than wires."""
    half = next(each for each in SOUND.fitting.values() if each.kind == "plug")
    way = max(SOUND.ways_of[half.uid], key=lambda each: each.position)
    more = replace(way, uid="spare", label="spare", position=way.position + 1)
    plug = replace(half, part_uid="plug-sealed-2.8-4", **values)  # type: ignore[arg-type]
    return replace(SOUND, fitting=SOUND.fitting | {half.uid: plug}, way=SOUND.way | {"spare": more})


CASES = (
    Case("stud crowded", lambda: on_one_stud(5), lambda: on_one_stud(1)),
    Case("crimp crowded", full_splice, lambda: SPLICED),
    Case("heat-shrink cannot pass", lambda: end(shrink_part_uid="shrink-1.6"), mended=True),
    Case("heat-shrink does not grip", lambda: end(shrink_part_uid="shrink-38.1"), mended=True),
    Case("cavities not blanked", sealed, lambda: sealed(blanked=True), mended=True),
)
