"""What one unit of a loom needs: parts by the design, and what the design does not say yet.

Pure: a design and the catalogue in, plain values out. Nothing is left out silently; what cannot be
counted is named in `missing`.
"""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from webapp.stages.building.cable_steps import twisted_mm
from webapp.stages.building.loom_steps import NO_COVERING, run_name, work_plan
from webapp.stages.building.wire_colours import letters
from webapp.stages.building.wire_steps import fitting_of, is_splice, shrink_cut_mm
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.cables import Piece, piece_of, pieces
from webapp.stages.design.cavities import empty_cavities
from webapp.stages.design.rows import Design, Fitting, Run
from webapp.stages.design.wires import End, Wire, wires
from webapp.stages.work_counts import metres, operation_counts

GROUPS = (
    "Cable",
    "Terminals",
    "Heat-shrink",
    "Fittings",
    "Fuse-links",
    "Coverings",
    "Grommets and glands",
    "Consumables",
)
# What is cut, crimped or used up goes wrong now and then; a fuse board does not.
SCRAPPED_KINDS = frozenset(
    {"cable", "cable of cores", "terminal", "heat-shrink", "covering", "consumable", "splice"}
)
FIGURES = re.compile(r"([0-9]+(?:\.[0-9]+)?)")
PER_LENGTH = re.compile(r"(?:([0-9]+(?:\.[0-9]+)?)\s*)?m")
INVENTED = "invented price"


@dataclass(frozen=True)
class PartUse:
    """So much of one part in one unit; `quantity` is in `unit`, m or each."""

    group: str
    part: CatalogPart
    quantity: Decimal
    unit: str
    colour: str = ""

    @property
    def scrapped(self) -> bool:
        return self.part.kind in SCRAPPED_KINDS

    @property
    def invented(self) -> bool:
        """The price is not the workshop's own yet."""
        return self.part.price_note == INVENTED

    def to_have(self, units: int, scrap_percent: Decimal) -> Decimal:
        """What to have at hand for so many units, scrap included: whole pieces, tenths of a m."""
        share = scrap_percent if self.scrapped else Decimal(0)
        wanted = self.quantity * units * (100 + share) / 100
        step = Decimal(1) if self.unit == "each" else Decimal("0.1")
        return wanted.quantize(step, ROUND_CEILING)


@dataclass(frozen=True)
class Missing:
    """Something that the design does not say; `page` is the loom's page, or a path, to mend it.

    `stops` is True where a price without it would be too low to send.
    """

    sentence: str
    page: str
    stops: bool = False


@dataclass(frozen=True)
class PartsList:
    """Parts and operations of one unit."""

    parts: tuple[PartUse, ...]
    missing: tuple[Missing, ...]
    # How often each operation is done, or over how many metres, by the code of its time.
    operations: dict[str, Decimal]
    wire_count: int


def parts_list(design: Design, catalogue: Catalogue) -> PartsList:
    """What one unit needs, by the design as it stands."""
    all_wires = wires(design)
    count = _Count(design, catalogue, all_wires)
    for piece in count.cables:
        count.cable_of_cores(piece)
    for wire in all_wires:
        count.cable(wire)
        for end in wire.ends:
            count.terminal(wire, end)
    count.heat_shrink()
    for fitting in design.fitting.values():
        count.fitting(fitting)
    count.fuse_links()
    for run in count.used_runs:
        count.covering(run)
        count.passage(run)
    count.consumables()
    uses = sorted(count.uses.values(), key=lambda use: (GROUPS.index(use.group), _by_size(use)))
    return PartsList(
        tuple(uses),
        tuple(dict.fromkeys(count.missing)),
        operation_counts(
            catalogue, count.plan, count.used_runs, sum(twisted_mm(each) for each in count.pieces)
        ),
        len(all_wires),
    )


class _Count:
    """Collects the parts of one unit, one kind after the other."""

    def __init__(self, design: Design, catalogue: Catalogue, all_wires: Sequence[Wire]) -> None:
        self.design = design
        self.catalogue = catalogue
        self.wires = all_wires
        self.pieces = pieces(design, list(all_wires))
        self.cables = [piece for piece in self.pieces if piece.sheathed]
        self.in_cable = piece_of(self.cables)
        self.plan = work_plan(design, catalogue.parts, "full")
        self.uses: dict[tuple[str, str, str], PartUse] = {}
        self.missing: list[Missing] = []
        routed = {uid for wire in all_wires for uid in wire.route or ()}
        self.used_runs = [run for uid, run in design.run.items() if uid in routed]
        self.consumable = _first_of_each_use(catalogue)

    def lack(self, sentence: str, page: str, *, stops: bool = False) -> None:
        self.missing.append(Missing(sentence, page, stops))

    def add(
        self, group: str, part: CatalogPart, quantity: Decimal | int, unit: str, colour: str = ""
    ) -> None:
        if not quantity:
            return
        stores = f"/stores/{part.uid}"
        if part.price_unit != unit:
            self.lack(
                f"{part.name} is counted in {unit}, but the stores price it by {part.price_unit}.",
                stores,
                stops=True,
            )
            return
        if not part.price_minor:
            self.lack(f"{part.name} has no price in the stores.", stores)
        key = (group, part.uid, colour)
        before = self.uses[key].quantity if key in self.uses else Decimal(0)
        self.uses[key] = PartUse(group, part, before + quantity, unit, colour)

    # --- wires --------------------------------------------------------------------------------

    def cable(self, wire: Wire) -> None:
        if wire.link.own_lead or wire.uid in self.in_cable:
            return
        part = self.catalogue.get(wire.link.cable_part_uid)
        if part is None:
            self.lack(f"Wire {wire.number} has no cable chosen.", "wires", stops=True)
        if not wire.length_mm:
            self.lack(f"Wire {wire.number} has no length.", "wires", stops=True)
        if part is not None and wire.length_mm:
            self.add("Cable", part, metres(wire.length_mm), "m", letters(self.design, wire.link))

    def cable_of_cores(self, piece: Piece) -> None:
        """By the metre of cable, once for all that lies in it."""
        part = self.catalogue.get(piece.cable.part_uid)
        if part is None:
            self.lack(f"{piece.name} has no cable chosen.", "wires", stops=True)
        if not piece.length_mm:
            self.lack(f"{piece.name} has no length.", "wires", stops=True)
        if part is not None and piece.length_mm:
            self.add("Cable", part, metres(piece.length_mm), "m")

    def terminal(self, wire: Wire, end: End) -> None:
        part = self.catalogue.get(end.made.terminal_part_uid)
        if part is not None:
            self.add("Terminals", part, 1, "each")
            return
        fitting = fitting_of(self.design, end)
        if fitting is None or is_splice(fitting):
            return
        if wire.link.own_lead:
            return
        where = self.design.way_name(end.way_uid)
        self.lack(f"Wire {wire.number} has no terminal at {where}.", "wires")

    def heat_shrink(self) -> None:
        """A piece for each end; over a splice one piece for all its wires, the longest asked."""
        over_splice: dict[str, list[End]] = {}
        for wire in self.wires:
            for end in wire.ends:
                fitting = fitting_of(self.design, end)
                if end.made.shrink_part_uid is None:
                    continue
                if fitting is not None and is_splice(fitting):
                    over_splice.setdefault(fitting.uid, []).append(end)
                else:
                    self._shrink(end, f"Wire {wire.number} at {self.design.way_name(end.way_uid)}")
        for uid, ends in over_splice.items():
            longest = max(ends, key=lambda end: end.made.shrink_mm or 0)
            self._shrink(longest, self.design.fitting[uid].name)

    def _shrink(self, end: End, where: str) -> None:
        part = self.catalogue.get(end.made.shrink_part_uid)
        assert part is not None  # the design's foreign key
        cut_mm = shrink_cut_mm(part, end.made.shrink_mm)
        if cut_mm is None:
            self.lack(f"{where}: heat-shrink without a length.", "wires")
        else:
            self.add("Heat-shrink", part, metres(cut_mm), "m")

    # --- fittings -----------------------------------------------------------------------------

    def fitting(self, fitting: Fitting) -> None:
        if fitting.supplied_by != "workshop":
            return
        part_uid = fitting.part_uid
        mate = self.design.fitting.get(fitting.mate_uid or "")
        if mate is not None and mate.supplied_by == "workshop":
            named = {half.part_uid for half in (fitting, mate) if half.part_uid}
            if len(named) < 2:
                # One part stands for both halves: it is counted with the first of them.
                if fitting.uid > mate.uid:
                    return
                part_uid = next(iter(named), None)
        part = self.catalogue.get(part_uid)
        if part is None:
            place = self.design.place[fitting.place_uid].name
            self.lack(f"{fitting.name} at {place} has no part chosen.", "fittings")
        else:
            self.add("Fittings", part, 1, "each")

    def fuse_links(self) -> None:
        """One in each slot that has a wire at both sides; empty slots stay empty."""
        wired = {end.way_uid for wire in self.wires for end in wire.ends}
        for bridge in self.design.bridge.values():
            if bridge.kind != "fuse":
                continue
            part = self.catalogue.get(bridge.fuse_part_uid)
            if part is not None:
                self.add("Fuse-links", part, 1, "each")
            elif {bridge.way_a_uid, bridge.way_b_uid} <= wired:
                slot = self.design.way_name(bridge.way_b_uid)
                self.lack(f"{slot} has no fuse-link chosen.", "circuits")

    # --- runs ---------------------------------------------------------------------------------

    def covering(self, run: Run) -> None:
        name = run_name(self.design, run)
        if not run.length_mm:
            self.lack(f"The run {name} has no length.", "runs")
        if run.covering.lower() in NO_COVERING:
            return
        part = self.catalogue.get(run.covering_part_uid)
        if part is None:
            self.lack(f"The run {name} has no size of {run.covering} chosen.", "runs")
        elif run.length_mm:
            self.add("Coverings", part, metres(run.length_mm), "m")

    def passage(self, run: Run) -> None:
        """The grommet or gland chosen, and whatever consumable's use is named besides where the
        run passes a panel."""
        said = run.through.lower()
        chosen = self.catalogue.get(run.through_part_uid)
        if chosen is not None:
            self.add("Grommets and glands", chosen, 1, "each")
            said = said.replace(chosen.kind, "")
        found = [
            part
            for use, part in self.consumable.items()
            if part.text("per") == "run end" and use in said
        ]
        for part in found:
            self.add("Consumables", part, 1, "each")
        if said and not found and chosen is None:
            name = run_name(self.design, run)
            self.lack(
                f"The run {name} passes through “{run.through}”, which nothing in the stores "
                "stands for.",
                "runs",
            )

    # --- consumables --------------------------------------------------------------------------

    def consumables(self) -> None:
        counts = {
            "wire end": 2 * len(self.wires),
            "empty cavity": self._blanked(),
            "joint": sum(1 for step in self.plan if step.operation == "solder"),
        }
        for use, per, what in (
            ("tag", "wire end", "tags"),
            ("solder", "joint", "solder"),
            ("blank", "empty cavity", "blanking plugs"),
            ("bind", "", "masking tape"),
        ):
            wanted = counts[per] if per else len(self.used_runs)
            if wanted and use not in self.consumable:
                self.lack(f"The stores have no {what}: add it there.", "/stores")
        for part in self.consumable.values():
            per = part.text("per")
            if per in counts:
                self.add("Consumables", part, counts[per], "each")
            elif along := PER_LENGTH.fullmatch(per):
                self._along_runs(part, Decimal(along.group(1) or 1))
            elif per != "run end":
                self.lack(f"{part.name} is used per “{per}”, which is not counted.", "/stores")

    def _blanked(self) -> int:
        """Empty cavities of the sealed halves that are to be blanked."""
        used = {end.way_uid for wire in self.wires for end in wire.ends}
        return sum(
            len(empty)
            for fitting, empty in empty_cavities(self.design, self.catalogue.parts, used)
            if fitting.blanked and fitting.supplied_by == "workshop"
        )

    def _along_runs(self, part: CatalogPart, step_m: Decimal) -> None:
        for run in self.used_runs:
            steps = metres(run.length_mm or 0) / step_m
            if part.price_unit == "m":
                self.add("Consumables", part, steps, "m")
            else:
                self.add("Consumables", part, math.ceil(steps), "each")


def _first_of_each_use(catalogue: Catalogue) -> dict[str, CatalogPart]:
    """The stocked consumable for each use; of several the first by name."""
    found: dict[str, CatalogPart] = {}
    for part in _by_name(catalogue.kind("consumable")):
        if part.stocked and part.text("use"):
            found.setdefault(part.text("use").lower(), part)
    return found


def _by_size(use: PartUse) -> list[tuple[float, str]]:
    """2.5 mm² before 10 mm²: figures in a name count as figures."""
    pieces = FIGURES.split(f"{use.part.name} {use.colour}")
    return [
        (float(piece), "") if FIGURES.fullmatch(piece) else (math.inf, piece) for piece in pieces
    ]


def _by_name(parts: Iterable[CatalogPart]) -> list[CatalogPart]:
    return sorted(parts, key=lambda part: part.name)
