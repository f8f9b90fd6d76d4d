"""What a change makes of work that is done already: labour and material that were spent, and are
spent again or for nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from webapp.costing.labour import Work
from webapp.stages.building.cable_steps import twisted_mm
from webapp.stages.building.loom_steps import work_plan
from webapp.stages.building.steps import EndWork, Step, WireWork
from webapp.stages.building.superseding import Undone
from webapp.stages.building.wire_colours import letters
from webapp.stages.building.wire_steps import shrink_cut_mm
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.cables import pieces
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import End
from webapp.stages.parts_list import PartUse
from webapp.stages.rates import Operation
from webapp.stages.work_counts import OPERATION_OF_STEP, metres

CODE_OF_STEP = {**OPERATION_OF_STEP, "thread": "thread_on", "tag": "tag"}
PER_METRE = {"bind": "bind_per_m", "cover": "cover_per_m"}


@dataclass(frozen=True)
class Spent:
    """How often each operation was done, or over how many metres, by its code; and parts used."""

    counts: dict[str, Decimal]
    uses: tuple[PartUse, ...]


def spent(design: Design, catalogue: Catalogue, undone: Iterable[Undone]) -> Spent:
    """What the ticks that a change undoes had taken, by the design that they were made to.

    What is only held or was left out took nothing. What was scrapped or is to be made again is open
    already: its loss is the workshop's own, and no change pays for it.
    """
    steps = {one.step.uid for one in undone if one.state == "done"}
    full = work_plan(design, catalogue.parts, "full")
    tally = _Tally(design, catalogue)
    for work in full.wires:
        tally.wire(work, steps)
    for piece in pieces(design):
        if piece.sheathed and f"{piece.uid}:cut" in steps:
            tally.cable(piece.cable.part_uid, piece.length_mm)
        if f"{piece.uid}:twist" in steps:
            tally.count("bind_per_m", metres(twisted_mm(piece)))
    for other in (*full.cables, *full.others):
        for step in other.steps:
            if step.uid in steps:
                tally.operation(step)
    return Spent(tally.counts, tuple(tally.uses))


class _Tally:
    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.design = design
        self.catalogue = catalogue
        self.counts: dict[str, Decimal] = {}
        self.uses: list[PartUse] = []

    def wire(self, work: WireWork, steps: set[str]) -> None:
        """Ticks of either depth: a short one stands for all the full steps that it is made of."""
        for step in work.whole:
            if step.uid in steps:
                self.operation(step)
        link = work.wire.link
        if f"{work.uid}:cut" in steps:
            self.cable(link.cable_part_uid, work.wire.length_mm, letters(self.design, link))
        inserted = f"{work.uid}:inserted" in steps
        for end, cut in zip(work.ends, work.wire.ends, strict=True):
            done = self._done(end, steps, inserted=inserted)
            for step in done:
                self.operation(step)
            self._end_parts(cut, {step.operation for step in done})

    def _done(self, end: EndWork, steps: set[str], *, inserted: bool) -> list[Step]:
        made = f"{end.uid}:made" in steps
        return [
            step
            for step in end.steps
            if step.uid in steps or (inserted if step.operation == "insert" else made)
        ]

    def operation(self, step: Step) -> None:
        if step.operation in CODE_OF_STEP:
            self.count(CODE_OF_STEP[step.operation], 1)
        elif step.operation in PER_METRE:
            run = self.design.run[step.uid.rsplit(":", 1)[0]]
            self.count(PER_METRE[step.operation], metres(run.length_mm or 0))

    def count(self, code: str, count: Decimal | int) -> None:
        self.counts[code] = self.counts.get(code, Decimal(0)) + count

    def cable(self, part_uid: str | None, length_mm: int | None, colour: str = "") -> None:
        part = self.catalogue.get(part_uid)
        if part is not None and length_mm:
            self._use("Cable", part, metres(length_mm), "m", colour)

    def _end_parts(self, end: End, operations: set[str]) -> None:
        terminal = self.catalogue.get(end.made.terminal_part_uid)
        if terminal is not None and operations & {"crimp", "solder"}:
            self._use("Terminals", terminal, Decimal(1), "each")
        shrink = self.catalogue.get(end.made.shrink_part_uid)
        if shrink is not None and "shrink" in operations:
            cut_mm = shrink_cut_mm(shrink, end.made.shrink_mm)
            self._use("Heat-shrink", shrink, metres(cut_mm or 0), "m")

    def _use(
        self, group: str, part: CatalogPart, quantity: Decimal, unit: str, colour: str = ""
    ) -> None:
        if quantity and part.price_unit == unit:
            self.uses.append(PartUse(group, part, quantity, unit, colour))


def works(all_spent: Sequence[Spent], operations: Sequence[Operation]) -> list[Work]:
    """The operations of several units together, as costing takes them."""
    total: dict[str, Decimal] = {}
    for one in all_spent:
        for code, count in one.counts.items():
            total[code] = total.get(code, Decimal(0)) + count
    return [
        Work(one.code, one.title, total[one.code], one.seconds)
        for one in operations
        if total.get(one.code)
    ]


def uses(all_spent: Sequence[Spent]) -> list[PartUse]:
    """The parts of several units together."""
    total: dict[tuple[str, str, str], PartUse] = {}
    for use in (use for one in all_spent for use in one.uses):
        key = (use.group, use.part.uid, use.colour)
        before = total[key].quantity if key in total else Decimal(0)
        total[key] = PartUse(use.group, use.part, before + use.quantity, use.unit, use.colour)
    return list(total.values())
