"""First-off crimps: three heights and three pulls for each terminal on each conductor."""

from collections.abc import Iterator

from webapp.sizing.conductors import awg_to_mm2
from webapp.sizing.crimp import IEC60352_2, UL486A, pull_force_n
from webapp.sizing.reasons import Result, SizingError
from webapp.stages.building.parts import Parts, number, part, says_yes
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires
from webapp.stages.testing.items import Item

SAMPLES = 3
# On the height that the terminal's maker gives: common practice.
HEIGHT_TOLERANCE_MM = 0.05
UL_GAUGES = range(-3, 23)


def first_off_items(design: Design, parts: Parts) -> list[Item]:
    """The items, by terminal and conductor in the order in which the wires meet them."""
    pairs = dict.fromkeys(_pairs(design, parts))
    found: list[Item] = []
    for terminal_uid, csa_mm2 in pairs:
        terminal = parts[terminal_uid]
        found += _heights(terminal, csa_mm2)
        found += _pulls(terminal, csa_mm2)
    return found


def _pairs(design: Design, parts: Parts) -> Iterator[tuple[str, float]]:
    for wire in wires(design):
        for end in wire.ends:
            terminal = part(parts, end.made.terminal_part_uid)
            if terminal and says_yes(terminal, "crimped") and wire.link.csa_mm2:
                yield terminal.uid, wire.link.csa_mm2


def _heights(terminal: CatalogPart, csa_mm2: float) -> list[Item]:
    height_mm = number(terminal, "crimp_height_mm")
    low = high = None
    if height_mm is not None:
        low = round(height_mm - HEIGHT_TOLERANCE_MM, 3)
        high = round(height_mm + HEIGHT_TOLERANCE_MM, 3)
    return [
        Item(
            uid=f"first-off:{terminal.uid}:{csa_mm2:g}:height:{sample}",
            kind="crimp height",
            group=group_name(terminal, csa_mm2),
            what=f"{group_name(terminal, csa_mm2)}: height {sample} of {SAMPLES}",
            unit="mm",
            low=low,
            high=high,
            limit_note="" if low else "no height known: judge it by the maker's sheet",
            confirmed=terminal.confirmed,
        )
        for sample in range(1, SAMPLES + 1)
    ]


def _pulls(terminal: CatalogPart, csa_mm2: float) -> list[Item]:
    makers_n = number(terminal, "pull_n")
    table = least_pull_n(csa_mm2) if makers_n is None else None
    low = makers_n if table is None else table.value
    confirmed = terminal.confirmed if table is None else table.confirmed
    return [
        Item(
            uid=f"first-off:{terminal.uid}:{csa_mm2:g}:pull:{sample}",
            kind="crimp pull",
            group=group_name(terminal, csa_mm2),
            what=f"{group_name(terminal, csa_mm2)}: pull {sample} of {SAMPLES}",
            unit="N",
            low=low,
            limit_note="" if low else "no force known: judge it by the maker's sheet",
            confirmed=confirmed,
        )
        for sample in range(1, SAMPLES + 1)
    ]


def group_name(terminal: CatalogPart, csa_mm2: float) -> str:
    """A terminal on a conductor, in words."""
    return f"{terminal.name} on {csa_mm2:g} mm²"


def least_pull_n(csa_mm2: float) -> Result | None:
    """The table's least force for a section.

    UL 486A goes by gauge: the thickest gauge that is no thicker than the wire is taken. Below
    its thinnest gauge IEC 60352-2 is asked; None where neither holds the size.
    """
    for awg in UL_GAUGES:
        if awg_to_mm2(awg) <= csa_mm2 * 1.001:
            try:
                return pull_force_n(UL486A, awg=awg)
            except SizingError:
                continue
    try:
        return pull_force_n(IEC60352_2, csa_mm2=csa_mm2)
    except SizingError:
        return None
