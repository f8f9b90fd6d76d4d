"""A design as the papers' own values: wires, fittings, circuits, the plan."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from webapp.drawings.plan_values import PlanPlace, PlanRun
from webapp.drawings.plug_face import columns_for
from webapp.pages.wording import section, short, with_unit
from webapp.paper.values import PaperCircuit, PaperEnd, PaperFitting, PaperWay, PaperWire, Plan
from webapp.stages.building import wire_colours
from webapp.stages.building.parts import Parts, part
from webapp.stages.building.wire_steps import is_plug, is_splice, strip_length_mm
from webapp.stages.design.cables import SCREEN, cable_part_uid, laid_words
from webapp.stages.design.rows import Bridge, Circuit, Design, Fitting, Link, Way
from webapp.stages.design.splices import lies_in_words, set_back, splices_mm
from webapp.stages.design.wires import End, Wire, wires
from webapp.stages.testing.nets import is_load


@dataclass(frozen=True)
class DesignValues:
    """One revision, ready for paper."""

    design: Design
    parts: Parts
    # What was noted on a wire goes through it: who prints may not be meant to read all.
    discreet: Callable[[str], str] = str

    @cached_property
    def found(self) -> list[Wire]:
        return wires(self.design)

    @cached_property
    def by_uid(self) -> dict[str, PaperWire]:
        return {wire.uid: self._wire(wire) for wire in self.found}

    @property
    def wires(self) -> tuple[PaperWire, ...]:
        return tuple(self.by_uid.values())

    @cached_property
    def wires_at(self) -> dict[str, list[tuple[Wire, End]]]:
        """The wires at each way, with the end that is there."""
        found: dict[str, list[tuple[Wire, End]]] = {}
        for wire in self.found:
            for end in wire.ends:
                if end.way_uid:
                    found.setdefault(end.way_uid, []).append((wire, end))
        return found

    def _wire(self, wire: Wire) -> PaperWire:
        link = wire.link
        cable = part(self.parts, cable_part_uid(self.design, link))
        return PaperWire(
            number=wire.number,
            main_hex=wire_colours.main_rgb(self.design, link),
            tracer_hex=wire_colours.tracer_rgb(self.design, link),
            letters=wire_colours.letters(self.design, link),
            size="" if link.csa_mm2 is None else section(link.csa_mm2),
            csa_mm2=link.csa_mm2 or 1.0,
            length_mm=wire.length_mm or 0,
            left=self.end(wire.left),
            right=self.end(wire.right),
            cable=cable.name if cable else "",
            circuit=str(self.design.circuit[link.circuit_uid].number),
            note=self._note(link),
        )

    def _note(self, link: Link) -> str:
        """What it lies in or what it is, before what was noted about it."""
        if link.core == SCREEN:
            return laid_words(self.design, link)
        own = "customer's own lead, laid in uncut" if link.own_lead else self.discreet(link.note)
        return "; ".join(filter(None, (laid_words(self.design, link), own)))

    def end(self, end: End) -> PaperEnd:
        if end.way_uid is None and self._is_screen(end):
            return PaperEnd(place="", fitting="cut back", note="sleeved")
        if end.way_uid is None:
            tail = f"{with_unit(end.made.loose_mm)} tail" if end.made.loose_mm else ""
            return PaperEnd(place="", fitting="left loose", note=tail)
        way = self.design.way[end.way_uid]
        terminal = part(self.parts, end.made.terminal_part_uid)
        return PaperEnd(
            place=self.design.place[self.design.fitting[way.fitting_uid].place_uid].name,
            fitting=self.design.fitting[way.fitting_uid].name,
            way=way.label,
            terminal=terminal.name if terminal else "",
            strip_mm=strip_length_mm(self.parts, end),
            note="soldered" if end.made.solder else "",
        )

    def _is_screen(self, end: End) -> bool:
        link = self.design.link.get(end.made.link_uid)
        return link is not None and link.core == SCREEN

    def fittings(self) -> tuple[PaperFitting, ...]:
        return tuple(self.fitting(fitting) for fitting in self.design.fitting.values())

    def fitting(self, fitting: Fitting) -> PaperFitting:
        known = part(self.parts, fitting.part_uid)
        ways = self.design.ways_of[fitting.uid]
        return PaperFitting(
            name=fitting.name,
            kind=fitting.kind,
            place=self._lies(fitting),
            ways=tuple(self._way(way) for way in ways),
            part=known.name if known else "",
            face_columns=columns_for(len(ways)) if is_plug(fitting) else 0,
            socket=fitting.kind.startswith("socket"),
        )

    def _lies(self, fitting: Fitting) -> str:
        """Its place; of a splice also how far it is set back; of a half what is blanked."""
        place = self.design.place[fitting.place_uid].name
        blanked = "empty cavities blanked" if fitting.blanked else ""
        return ", ".join(filter(None, (place, lies_in_words(self.design, fitting), blanked)))

    def _way(self, way: Way) -> PaperWay:
        at = self.wires_at.get(way.uid, [])
        if not at:
            return PaperWay(way.label)
        wire, end = at[0]
        far = wire.right if end is wire.left else wire.left
        link = wire.link
        return PaperWay(
            number=way.label,
            wire_number=", ".join(one.number for one, _ in at),
            letters=wire_colours.letters(self.design, link),
            main_hex=wire_colours.main_rgb(self.design, link),
            tracer_hex=wire_colours.tracer_rgb(self.design, link),
            function=self.design.way_name(far.way_uid),
        )

    def circuits(self) -> tuple[PaperCircuit, ...]:
        return tuple(self._circuit(circuit) for circuit in self.design.circuit.values())

    def _circuit(self, circuit: Circuit) -> PaperCircuit:
        own = [wire for wire in self.found if wire.link.circuit_uid == circuit.uid]
        fuses = self.fuses_of(circuit)
        return PaperCircuit(
            number=str(circuit.number),
            name=circuit.name,
            fuse=", ".join(f"{short(fuse.fuse_a)} A" for fuse in fuses if fuse.fuse_a),
            fuse_at=", ".join(self._fuse_place(fuse) for fuse in fuses),
            wires=", ".join(wire.number for wire in own),
            purpose=self._purpose(circuit),
        )

    def fuses_of(self, circuit: Circuit) -> list[Bridge]:
        """The fuse-links whose far side feeds a wire of the circuit."""
        ways = {
            end.way_uid
            for wire in self.found
            if wire.link.circuit_uid == circuit.uid
            for end in wire.ends
        }
        return [
            bridge
            for bridge in self.design.bridge.values()
            if bridge.kind == "fuse" and bridge.way_b_uid in ways
        ]

    def _fuse_place(self, fuse: Bridge) -> str:
        fitting = self.design.fitting[fuse.fitting_uid]
        way = self.design.way[fuse.way_b_uid].label
        return f"{fitting.name} {way}, {self.design.place[fitting.place_uid].name}"

    def _purpose(self, circuit: Circuit) -> str:
        need = self.design.need.get(circuit.need_uid or "")
        if need is None:
            return ""
        many = f"{need.quantity} × " if need.quantity > 1 else ""
        words = f"{many}{need.name} at {self.design.place[need.place_uid].name}"
        if need.control_place_uid:
            where = self.design.place[need.control_place_uid].name
            return f"{words}; {need.control} at {where}."
        return f"{words}; {need.control}."

    def plan(self) -> Plan:
        """The loom as it lies: runs that wires lie in, with the places at their ends."""
        lying = {
            run.uid: sum(1 for wire in self.found if run.uid in (wire.route or ()))
            for run in self.design.run.values()
        }
        runs = [run for run in self.design.run.values() if run.length_mm and lying[run.uid]]
        used = {uid for run in runs for uid in (run.from_place_uid, run.to_place_uid)}
        spliced = splices_mm(self.design)
        return Plan(
            tuple(self._place(uid) for uid in self.design.place if uid in used),
            tuple(
                PlanRun(
                    from_uid=run.from_place_uid,
                    to_uid=run.to_place_uid,
                    length_mm=run.length_mm or 0,
                    wires=lying[run.uid],
                    covering=run.covering,
                    through=run.through,
                    splices_mm=spliced.get(run.uid, ()),
                    length_words=with_unit(run.length_mm or 0),
                )
                for run in runs
            ),
        )

    def _place(self, uid: str) -> PlanPlace:
        here = [one for one in self.design.fitting.values() if one.place_uid == uid]
        mark = ""
        if any(is_plug(one) for one in here):
            mark = "plug"
        elif any(is_splice(one) and set_back(self.design, one) is None for one in here):
            mark = "splice"
        elif any(is_load(self.design, self.parts, one) for one in here):
            mark = "load"
        names = tuple(one.name for one in here)
        return PlanPlace(uid, self.design.place[uid].name, mark, names)

    @property
    def supply(self) -> str:
        return f"{self.design.nominal_v} V d.c., {self.design.polarity}"
