"""How each wire end is made: allowance, terminal, strip length, heat-shrink; coverings of runs."""

from dataclasses import replace

from webapp.sizing.bundle import SleeveFacts, bundle_diameter_mm, choose_sleeve
from webapp.sizing.conductors import outside_diameter_mm
from webapp.sizing.heat_shrink import (
    HeatShrinkFacts,
    choose_heat_shrink,
    heat_shrink_cut_mm,
)
from webapp.sizing.reasons import SizingError
from webapp.sizing.terminations import choose_terminal
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.choices import terminal_facts
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Design, WireEnd
from webapp.stages.design.warmth import COVERINGS
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
# Heat-shrink grips the insulation here and passes over the terminal's barrel: common practice.
BARREL_OVER_INSULATION = 1.15
# Round a splice it passes over the barrel and grips two or three wires at once: common practice.
SPLICE_OVER_INSULATION = 2.0
SPLICE_GRIPS = 1.5


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

    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.design = design
        self.catalogue = catalogue
        self.figures = Figures(design)
        self.said: list[Named] = []
        self.terminals = [terminal_facts(part) for part in catalogue.kind("terminal")]
        self.shrinks = [_shrink_facts(part) for part in catalogue.kind("heat-shrink")]

    def make(self) -> Design:
        ends = dict(self.design.wire_end)
        for wire in wires(self.design):
            for end in wire.ends:
                ends[end.uid] = self._end(wire, end)
        return replace(self.design, wire_end=ends)

    def _end(self, wire: Wire, end: End) -> WireEnd:
        made = end.made
        chosen: dict[str, object] = {"tag": self.design.way_name(end.way_uid)}
        if end.way_uid is None or wire.link.csa_mm2 is None:
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
        if terminal is not None or first_at_splice:
            chosen |= self._shrink(wire, terminal, outside)
        if terminal is not None:
            wants = self.design.basis.terminal_finish != "crimp only"
            chosen["solder"] = wants or bool(terminal.facts.get("soldered"))
        return _set(made, chosen)

    def _outside_mm(self, wire: Wire) -> float:
        part = self.catalogue.get(wire.link.cable_part_uid)
        if part is not None:
            return part.number("outside_mm")
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
        self, wire: Wire, terminal: CatalogPart | None, outside_mm: float
    ) -> dict[str, object]:
        """Heat-shrink over barrel and insulation; at a splice one piece covers all its wires."""
        over = outside_mm * (BARREL_OVER_INSULATION if terminal else SPLICE_OVER_INSULATION)
        grips = outside_mm * (1.0 if terminal else SPLICE_GRIPS)
        covered = terminal.number("shrink_mm") if terminal else 40.0
        try:
            choice = choose_heat_shrink(self.shrinks, passes_over_mm=over, grips_mm=grips)
            cut = heat_shrink_cut_mm(covered, choice.heat_shrink.longitudinal_change_percent)
        except SizingError as error:
            self.said.append(Named(f"Wire {wire.number}: {error}", self._need(wire)))
            return {"shrink_part_uid": None, "shrink_mm": None}
        return {
            "shrink_part_uid": choice.heat_shrink.uid,
            "shrink_mm": -(-int(cut.value * 10) // 10),
        }

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


def _shrink_facts(part: CatalogPart) -> HeatShrinkFacts:
    return HeatShrinkFacts(
        uid=part.uid,
        expanded_mm=part.number("expanded_mm"),
        recovered_mm=part.number("recovered_mm"),
        longitudinal_change_percent=part.number("longitudinal_percent"),
        confirmed=part.confirmed,
    )


def cover_runs(design: Design, catalogue: Catalogue) -> tuple[Design, list[Named]]:
    """A covering for each run that has wires, of the sort that the run asks for."""
    said: list[Named] = []
    diameters = run_diameters(design, catalogue)
    runs = dict(design.run)
    for run in design.run.values():
        if "covering_part_uid" in run.by_hand:
            continue
        outer = diameters.get(run.uid)
        wanted = COVERINGS.get(run.covering.lower())
        if outer is None or wanted in (None, "none"):
            runs[run.uid] = replace(run, covering_part_uid=None)
            continue
        name = f"{design.place[run.from_place_uid].name} to {design.place[run.to_place_uid].name}"
        try:
            choice = choose_sleeve(_sleeves(catalogue, run.covering), outer)
            runs[run.uid] = replace(run, covering_part_uid=choice.sleeve.uid)
        except SizingError as error:
            said.append(Named(f"Run {name}: {error}"))
            runs[run.uid] = replace(run, covering_part_uid=None)
    return replace(design, run=runs), said


def run_diameters(design: Design, catalogue: Catalogue) -> dict[str, float]:
    """Diameter of the bundle in each run that has wires. [mm]"""
    by_run: dict[str, list[float]] = {}
    for wire in wires(design):
        part = catalogue.get(wire.link.cable_part_uid)
        for run_uid in wire.route or ():
            if part is not None:
                by_run.setdefault(run_uid, []).append(part.number("outside_mm"))
    return {uid: bundle_diameter_mm(sizes).value for uid, sizes in by_run.items()}


def _sleeves(catalogue: Catalogue, covering: str) -> list[SleeveFacts]:
    return [
        SleeveFacts(part.uid, part.number("inside_min_mm"), part.number("inside_max_mm"))
        for part in catalogue.kind("covering")
        if part.text("covering").lower() == covering.lower()
    ]
