"""Cases of the rules about bends, coverings, grommets and glands."""

from dataclasses import replace
from typing import Any

from tests.stages.design.findings.case import Case, Seen
from tests.stages.design.findings.samples import SOUND
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.proposal.runs import cover_runs
from webapp.stages.design.rows import Design


def through(words: str) -> Design:
    """The sound design with every run passing something, and that chosen."""
    runs = {uid: replace(run, through=words) for uid, run in SOUND.run.items()}
    passing, said = cover_runs(replace(SOUND, run=runs), CATALOGUE)
    assert not said
    return passing


GROMMETS = through("grommet")
GLANDS = through("gland in the bulkhead")


def run(design: Design = SOUND, **values: Any) -> Design:
    return replace(design, run=design.run | {"r0": replace(design.run["r0"], **values)})


def used_c() -> Seen:
    """The covering of the run with the hottest wire stands less than that wire reaches."""
    part = CATALOGUE.parts[SOUND.run["r0"].covering_part_uid or ""]
    cool = CatalogPart(
        part.uid, part.kind, part.name, part.facts | {"limit_c": SOUND.run["r0"].surround_c}
    )
    return Seen(SOUND, Catalogue(CATALOGUE.parts | {part.uid: cool}))


def wide() -> Seen:
    """Every terminal wider than every grommet."""
    parts = {
        uid: replace(part, facts=part.facts | {"passes_mm": 99})
        if part.kind in ("terminal", "plug and socket")
        else part
        for uid, part in CATALOGUE.parts.items()
    }
    return Seen(GROMMETS, Catalogue(parts))


def narrow() -> Seen:
    parts = {
        uid: replace(part, facts=part.facts | {"passes_mm": 1})
        if part.kind in ("terminal", "plug and socket")
        else part
        for uid, part in CATALOGUE.parts.items()
    }
    return Seen(GROMMETS, Catalogue(parts))


CASES = (
    Case(
        "bend too tight",
        lambda: run(bend_at_mm=200, bend_radius_mm=10),
        lambda: run(bend_at_mm=200, bend_radius_mm=300),
    ),
    Case("covering does not fit", lambda: run(covering_part_uid="spiral-tape-3"), mended=True),
    Case("covering too hot", lambda: run(surround_c=130.0), lambda: run(surround_c=60.0)),
    Case("wires too hot for covering", used_c),
    Case(
        "no grommet chosen",
        lambda: run(GROMMETS, through_part_uid=None),
        lambda: GROMMETS,
        mended=True,
    ),
    Case(
        "opening too small",
        lambda: run(GLANDS, through_part_uid="grommet-5"),
        lambda: GLANDS,
        mended=True,
    ),
    Case(
        "gland does not clamp",
        lambda: run(GLANDS, through_part_uid="gland-M63"),
        lambda: GLANDS,
        mended=True,
    ),
    Case("opening too hot", lambda: run(GROMMETS, surround_c=101.0), lambda: GROMMETS),
    Case("fit after threading", wide, narrow),
)
