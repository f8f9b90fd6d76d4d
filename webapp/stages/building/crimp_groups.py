"""A terminal on a conductor: what a crimp tool is set up for."""

from webapp.stages.building.parts import Parts, part, says_yes
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import End, Wire


def group_key(terminal_uid: str, csa_mm2: float) -> str:
    """tab-receptacle-6.3-1-2.5|1.5"""
    return f"{terminal_uid}|{csa_mm2:g}"


def group_of_key(key: str) -> tuple[str, float]:
    """Terminal and section of a key.

    Raises:
        ValueError: it is no key.
    """
    terminal_uid, found, csa = key.rpartition("|")
    if not found or not terminal_uid:
        raise ValueError(f"{key!r} names no terminal on a conductor")
    return terminal_uid, float(csa)


def group_name(terminal: CatalogPart, csa_mm2: float) -> str:
    """A terminal on a conductor, in words."""
    return f"{terminal.name} on {csa_mm2:g} mm²"


def crimp_group(design: Design, parts: Parts, wire: Wire, end: End) -> str:
    """The key of what is crimped at an end; nothing where no terminal is.

    Splices are left out: their barrel takes several wires together, for which neither a maker's
    height nor a table's force by section is known here.
    """
    terminal = part(parts, end.made.terminal_part_uid)
    if terminal is None or not says_yes(terminal, "crimped") or not wire.link.csa_mm2:
        return ""
    if end.loose or (
        end.way_uid is not None
        and design.fitting[design.way[end.way_uid].fitting_uid].kind.startswith("splice")
    ):
        return ""
    return group_key(terminal.uid, wire.link.csa_mm2)
