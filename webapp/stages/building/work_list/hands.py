"""What the hands need at one end of a wire, as values: lengths, terminal, limits, way, tag."""

from dataclasses import dataclass

from webapp.convention import now
from webapp.stages.building.crimp_groups import group_name, group_of_key
from webapp.stages.building.parts import Parts, has_seal, number, part, says_yes
from webapp.stages.building.steps import EndWork, WireWork
from webapp.stages.building.wire_steps import (
    fitting_of,
    is_crimped,
    is_plug,
    is_soldered,
    shrink_cut_mm,
    strip_length_mm,
)
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import End
from webapp.stages.testing.first_off import CrimpLimit, crimp_limits


@dataclass(frozen=True)
class Sleeve:
    """Heat-shrink: its size, and how long it is cut so that the wanted length is left."""

    size: str
    cut_mm: int | None


@dataclass(frozen=True)
class Goal:
    """The way that an end goes to; `half` where it is one of a plug or socket half."""

    fitting_uid: str
    fitting: str
    way_uid: str
    way: str
    half: bool


@dataclass(frozen=True)
class Hands:
    """One end. What does not apply is None, or empty.

    `height` has no limits where the maker's is not known: then `tool`, its die and the maker's
    sheet decide.
    """

    cable: str
    length_mm: int | None
    strip_mm: float | None
    terminal: str
    confirmed: bool
    crimped: bool
    height: CrimpLimit | None
    tool: str
    soldered: bool
    sleeve: Sleeve | None
    seal: bool
    boot: bool
    goal: Goal | None
    tag: str


def hands(design: Design, parts: Parts, work: WireWork, end: EndWork, at: End) -> Hands:
    """What the hands need at this end."""
    terminal = part(parts, at.made.terminal_part_uid)
    shrink = part(parts, at.made.shrink_part_uid)
    cable = part(parts, work.wire.link.cable_part_uid)
    crimped = is_crimped(terminal)
    csa_mm2 = work.wire.link.csa_mm2
    return Hands(
        cable=cable.name if cable else "",
        length_mm=work.wire.length_mm,
        strip_mm=strip_length_mm(parts, at),
        terminal=terminal.name if terminal else "",
        confirmed=terminal is None or terminal.confirmed,
        crimped=crimped,
        height=crimp_limits(terminal, csa_mm2).height if terminal and crimped and csa_mm2 else None,
        tool=terminal.text("tool") if terminal else "",
        soldered=is_soldered(at, terminal),
        sleeve=Sleeve(shrink_size(shrink), shrink_cut_mm(shrink, at.made.shrink_mm))
        if shrink
        else None,
        seal=has_seal(terminal),
        boot=says_yes(terminal, "boot"),
        goal=_goal(design, at),
        tag=end.tag,
    )


def _goal(design: Design, at: End) -> Goal | None:
    fitting = fitting_of(design, at)
    if fitting is None or at.way_uid is None:
        return None
    way = design.way[at.way_uid]
    return Goal(fitting.uid, fitting.name, way.uid, way.label, is_plug(fitting))


def shrink_size(shrink: CatalogPart) -> str:
    """6.4 → 3.2, or its name where the size is not known."""
    expanded, recovered = number(shrink, "expanded_mm"), number(shrink, "recovered_mm")
    return f"{expanded:g} → {recovered:g}" if expanded and recovered else shrink.name


def strip_words(strip_mm: float) -> str:
    """6.4 mm, or 0.252 in."""
    return f"{now().fine(strip_mm)} {now().unit}"


def crimp_name(parts: Parts, group: str) -> str:
    """A crimp group in words."""
    terminal_uid, csa_mm2 = group_of_key(group)
    return group_name(parts[terminal_uid], csa_mm2)
