"""Cases of the rules about terminals and ways."""

from dataclasses import replace

from tests.stages.design.findings import samples
from tests.stages.design.findings.case import Case, Seen
from tests.stages.design.findings.samples import SOUND, end
from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design


def with_facts(**facts: object) -> Seen:
    """The tab receptacle that the sound design takes, with other facts."""
    uid = next(
        made.terminal_part_uid
        for made in SOUND.wire_end.values()
        if made.terminal_part_uid and "tab-receptacle" in made.terminal_part_uid
    )
    part = CATALOGUE.parts[uid]
    other = replace(part, facts=part.facts | facts)
    return Seen(SOUND, Catalogue(CATALOGUE.parts | {uid: other}))


def strained() -> Design:
    """A load of twenty-odd ampere on a switch for twenty."""
    need = lamp(kind="resistive", rating=15.0, rating_unit="A")
    after = propose(design([need]), CATALOGUE).design
    rows = {
        uid: replace(each, load_a=23.0) if each.kind == "load" else each
        for uid, each in after.bridge.items()
    }
    return replace(after, bridge=rows)


CASES = (
    Case("missing terminal", lambda: end(terminal_part_uid=None), mended=True),
    Case("terminal does not mate", lambda: end(terminal_part_uid="ring-M8-1-2.5"), mended=True),
    Case("tab size", lambda: end(terminal_part_uid="tab-receptacle-4.8-1-2.5"), mended=True),
    Case(
        "stud size",
        lambda: samples.end_on("stud M", terminal_part_uid="ring-M10-2.5-6"),
        mended=True,
    ),
    Case(
        "terminal does not fit",
        lambda: end(terminal_part_uid="tab-receptacle-6.3-2.5-6"),
        mended=True,
    ),
    Case("insulation does not fit", lambda: with_facts(insulation_max_mm=1.3)),
    Case("seal does not grip", lambda: with_facts(seal_min_mm=8.0, seal_max_mm=9.0)),
    Case("terminal overloaded", lambda: with_facts(current_a=0.1)),
    Case("strip length", lambda: end(strip_mm=2.0), mended=True),
    Case("platings differ", lambda: with_facts(plating="gold")),
    Case("way used twice", samples.doubled, samples.half_left, mended=True),
    Case("contact overloaded", strained, mended=True),
)
