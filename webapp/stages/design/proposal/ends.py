"""How each wire end is made: allowance, terminal, strip length, heat-shrink."""

import math
from dataclasses import replace

from webapp.sizing.conductors import outside_diameter_mm
from webapp.sizing.heat_shrink import (
    HeatShrinkChoice,
    choose_least_shrinking,
    tightest,
)
from webapp.sizing.reasons import SizingError
from webapp.sizing.terminations import choose_terminal
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.cables import insulation_mm
from webapp.stages.design.choices import terminal_facts
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Design, WireEnd
from webapp.stages.design.shrinks import heat_shrink_facts, over_and_grips_mm
from webapp.stages.design.wires import End, Wire, wires

# Wire beyond the route for making an end and reaching its way [mm]: common practice.
ALLOWANCE_MM = {"splice": 40, "lead": 80, "screw": 80}
HOUSED_ALLOWANCE_MM = 60
STUD_ALLOWANCE_MM = 100
# Between fittings that stand side by side at the battery.
STRAP_ALLOWANCE_MM = 45
SIDE_BY_SIDE = frozenset({"supply", "isolator", "main bar"})
OTHER_ALLOWANCE_MM = 70
SPLICE_STRIP_MM = 8.0  # common practice
SPLICE_SHRINK_MM = 40.0  # common practice


def allow_ends(design: Design) -> Design:
    """A row for each wire end, with its allowance, so that lengths are known before sizes."""
    ends: dict[str, WireEnd] = {}
    for wire in wires(design):
        for end in wire.ends:
            made = end.made
            if "allowance_mm" not in made.by_hand:
                made = replace(made, allowance_mm=allowance_mm(design, wire, end))
            ends[end.uid] = replace(
                made, position=len(ends) + 1, origin=made.origin or f"{end.uid}/end"
            )
    return replace(design, wire_end=ends)


def allowance_mm(design: Design, wire: Wire, end: End) -> int:
    """Wire to add to the route at this end."""
    if end.way_uid is None:
        return 0
    kinds = {design.fitting[design.way[e.way_uid].fitting_uid].kind for e in wire.ends if e.way_uid}
    if wire.route == () and kinds & SIDE_BY_SIDE:
        return STRAP_ALLOWANCE_MM
    contact = design.way[end.way_uid].contact
    if contact.startswith("stud"):
        return STUD_ALLOWANCE_MM
    if contact.startswith(("housed", "heavy")):
        return HOUSED_ALLOWANCE_MM
    return ALLOWANCE_MM.get(contact, OTHER_ALLOWANCE_MM)


class EndMaker:
    """Chooses what goes on each end, once every wire has its size."""

    def __init__(self, figures: Figures, catalogue: Catalogue) -> None:
        self.design = figures.design
        self.catalogue = catalogue
        self.figures = figures
        self.said: list[Named] = []
        self.terminals = [terminal_facts(part) for part in catalogue.kind("terminal")]
        # Over the insulation of each wire in a splice, by the splice. [mm]
        self.in_splice: dict[str, list[float]] = {}
        self.shrinks = [heat_shrink_facts(part) for part in catalogue.kind("heat-shrink")]

    def make(self) -> Design:
        ends = dict(self.design.wire_end)
        found = wires(self.design)
        for wire in found:
            for end in wire.ends:
                if end.way_uid and self.design.way[end.way_uid].contact == "splice":
                    fitting_uid = self.design.way[end.way_uid].fitting_uid
                    self.in_splice.setdefault(fitting_uid, []).append(self._outside_mm(wire))
        for wire in found:
            for end in wire.ends:
                ends[end.uid] = self._end(wire, end)
        return replace(self.design, wire_end=ends)

    def _end(self, wire: Wire, end: End) -> WireEnd:
        made = end.made
        # Nothing that an earlier proposal chose stays: the way may be of another sort now.
        chosen: dict[str, object] = {
            "tag": self.design.way_name(end.way_uid),
            "terminal_part_uid": None,
            "strip_mm": None,
            "shrink_part_uid": None,
            "shrink_mm": None,
            "solder": False,
        }
        # The customer's own lead comes with ends of its own.
        if wire.link.own_lead or end.way_uid is None or wire.link.csa_mm2 is None:
            return _set(made, chosen)
        contact = self.design.way[end.way_uid].contact
        outside = self._outside_mm(wire)
        if contact == "splice":
            chosen["strip_mm"] = SPLICE_STRIP_MM
        else:
            chosen |= self._terminal(wire, contact, outside)
        terminal = self.catalogue.get(
            made.terminal_part_uid
            if "terminal_part_uid" in made.by_hand
            else _text(chosen.get("terminal_part_uid"))
        )
        first_at_splice = contact == "splice" and self.design.way[end.way_uid].label == "1"
        # A seal must go into its cavity bare.
        sealed = terminal is not None and terminal.maybe("seal_max_mm") is not None
        if not sealed and (terminal is not None or first_at_splice):
            chosen |= self._shrink(wire, end, terminal, outside)
        if terminal is not None:
            wants = self.design.basis.terminal_finish != "crimp only"
            chosen["solder"] = wants or bool(terminal.facts.get("soldered"))
        return _set(made, chosen)

    def _outside_mm(self, wire: Wire) -> float:
        part = self.catalogue.get(wire.link.cable_part_uid)
        if part is not None:
            return insulation_mm(part)
        conductor = self.figures.conductor(wire.link)
        return outside_diameter_mm(conductor).value if conductor else 0.0

    def _terminal(self, wire: Wire, contact: str, outside_mm: float) -> dict[str, object]:
        try:
            choice = choose_terminal(
                self.terminals,
                contact=contact,
                csa_mm2=wire.link.csa_mm2 or 0.0,
                outside_diameter_mm=outside_mm,
                current_a=self.figures.heat_a(wire.link.uid),
            )
        except SizingError as error:
            self.said.append(Named(f"Wire {wire.number}, to {contact}: {error}", self._need(wire)))
            return {"terminal_part_uid": None, "strip_mm": None}
        return {
            "terminal_part_uid": choice.terminal.uid,
            "strip_mm": choice.terminal.strip_mm,
        }

    def _shrink(
        self, wire: Wire, end: End, terminal: CatalogPart | None, outside_mm: float
    ) -> dict[str, object]:
        """Heat-shrink over barrel and insulation; at a splice one piece covers all its wires."""
        fitting_uid = self.design.way[end.way_uid or ""].fitting_uid
        in_splice = () if terminal else self.in_splice.get(fitting_uid, ())
        over, grips = over_and_grips_mm(outside_mm, in_splice)
        try:
            choice = self._piece(over, grips, splice=terminal is None)
        except SizingError as error:
            self.said.append(Named(f"Wire {wire.number}: {error}", self._need(wire)))
            return {"shrink_part_uid": None, "shrink_mm": None}
        covered_mm = terminal.number("shrink_mm") if terminal else SPLICE_SHRINK_MM
        return {"shrink_part_uid": choice.heat_shrink.uid, "shrink_mm": math.ceil(covered_mm)}

    def _piece(self, over_mm: float, grips_mm: float, *, splice: bool) -> HeatShrinkChoice:
        try:
            return choose_least_shrinking(self.shrinks, passes_over_mm=over_mm, grips_mm=grips_mm)
        except SizingError:
            if not splice:
                raise
            # Thick and thin wires in one splice: the findings say that it grips only one side.
            return tightest(self.shrinks, passes_over_mm=over_mm, grips_mm=grips_mm)

    def _need(self, wire: Wire) -> str | None:
        return self.design.circuit[wire.link.circuit_uid].need_uid


def _text(value: object) -> str | None:
    return value if isinstance(value, str) else None


def _set(made: WireEnd, chosen: dict[str, object]) -> WireEnd:
    """What was chosen, except where a person has set it."""
    values: dict[str, object] = {
        name: value for name, value in chosen.items() if name not in made.by_hand
    }
    return replace(made, **values)  # type: ignore[arg-type]
