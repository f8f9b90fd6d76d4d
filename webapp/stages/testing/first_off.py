"""First-off crimps: three heights and three pulls for each terminal on each conductor."""

from dataclasses import dataclass

from webapp.sizing.conductors import awg_to_mm2
from webapp.sizing.crimp import IEC60352_2, UL486A, pull_force_n
from webapp.sizing.reasons import Result, SizingError
from webapp.stages.building.crimp_groups import crimp_group, group_key, group_name, group_of_key
from webapp.stages.building.parts import Parts, number
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires
from webapp.stages.testing.items import Item

SAMPLES = 3
# On the height that the terminal's maker gives: common practice.
HEIGHT_TOLERANCE_MM = 0.05
UL_GAUGES = range(-3, 23)
FIRST, LAST = "first-off", "last-off"
HEIGHT, PULL = "height", "pull"


@dataclass(frozen=True)
class CrimpLimit:
    """What a crimp's height or pull must keep; without a limit the person judges.

    `source` says whose limit it is; `confirmed` is false where nobody has seen it in print yet.
    """

    kind: str
    unit: str
    low: float | None
    high: float | None
    source: str
    confirmed: bool


@dataclass(frozen=True)
class CrimpLimits:
    height: CrimpLimit
    pull: CrimpLimit


def crimp_limits(terminal: CatalogPart, csa_mm2: float) -> CrimpLimits:
    """The limits of a crimp of this terminal on this conductor.

    The terminal maker's height and force outrank the table.
    """
    return CrimpLimits(_height_limit(terminal), _pull_limit(terminal, csa_mm2))


def _height_limit(terminal: CatalogPart) -> CrimpLimit:
    height_mm = number(terminal, "crimp_height_mm")
    if height_mm is None:
        words = "no height known: judge it by the maker's sheet"
        return CrimpLimit(HEIGHT, "mm", None, None, words, terminal.confirmed)
    low = round(height_mm - HEIGHT_TOLERANCE_MM, 3)
    high = round(height_mm + HEIGHT_TOLERANCE_MM, 3)
    words = f"maker's height {height_mm:.2f} ± {HEIGHT_TOLERANCE_MM:.2f} mm"
    return CrimpLimit(HEIGHT, "mm", low, high, words, terminal.confirmed)


def _pull_limit(terminal: CatalogPart, csa_mm2: float) -> CrimpLimit:
    makers_n = number(terminal, "pull_n")
    if makers_n is not None:
        words = f"maker's force {makers_n:g} N"
        return CrimpLimit(PULL, "N", makers_n, None, words, terminal.confirmed)
    table = least_pull_n(csa_mm2)
    if table is None:
        words = "no force known: judge it by the maker's sheet"
        return CrimpLimit(PULL, "N", None, None, words, terminal.confirmed)
    reason = table.reasons[0]
    words = f"{reason.source}: {reason.text}"
    return CrimpLimit(PULL, "N", table.value, None, words, table.confirmed)


def first_off_items(design: Design, parts: Parts) -> list[Item]:
    """The items, by terminal and conductor in the order in which the wires meet them."""
    return [item for key in crimp_keys(design, parts) for item in crimp_items(parts, key, FIRST)]


def crimp_keys(design: Design, parts: Parts) -> list[str]:
    """The key of each terminal on each conductor that the design crimps."""
    found = (crimp_group(design, parts, wire, end) for wire in wires(design) for end in wire.ends)
    return [key for key in dict.fromkeys(found) if key]


def crimp_items(parts: Parts, key: str, when: str) -> list[Item]:
    """Three heights and three pulls, at first or at the last."""
    terminal_uid, csa_mm2 = group_of_key(key)
    limits = crimp_limits(parts[terminal_uid], csa_mm2)
    return [
        _item(parts[terminal_uid], csa_mm2, limit, when, sample)
        for limit in (limits.height, limits.pull)
        for sample in range(1, SAMPLES + 1)
    ]


def key_of_item(item_uid: str) -> str:
    """The key of the group that a sample belongs to."""
    terminal_uid, csa, _, _ = item_uid.partition(":")[2].rsplit(":", 3)
    return group_key(terminal_uid, float(csa))


def _item(terminal: CatalogPart, csa_mm2: float, limit: CrimpLimit, when: str, sample: int) -> Item:
    name = group_name(terminal, csa_mm2)
    last = "" if when == FIRST else "last "
    return Item(
        uid=f"{when}:{terminal.uid}:{csa_mm2:g}:{limit.kind}:{sample}",
        kind=f"crimp {limit.kind}",
        group=name,
        what=f"{name}: {last}{limit.kind} {sample} of {SAMPLES}",
        unit=limit.unit,
        low=limit.low,
        high=limit.high,
        limit_note="" if limit.low else limit.source,
        confirmed=limit.confirmed,
        setup=group_key(terminal.uid, csa_mm2),
    )


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
