"""Fittings as rows: where they are, what they are, and what goes to each of their ways."""

from dataclasses import dataclass
from functools import cached_property

from webapp.pages.wire_table import WireTable
from webapp.pages.wording import mm, number, short
from webapp.stages.building.wire_colours import letters
from webapp.stages.design import runs
from webapp.stages.design.accepted import Answered
from webapp.stages.design.cavities import is_sealed
from webapp.stages.design.editing.ends import label_of
from webapp.stages.design.editing.fittings import HALVES, fuse_ratings
from webapp.stages.design.editing.lying import runs_at
from webapp.stages.design.editing.ways import common_contact, contacts_on_offer
from webapp.stages.design.halves import halves_at
from webapp.stages.design.rows import Bridge, Crossing, Design, Fitting, Way
from webapp.stages.design.splices import is_splice
from webapp.stages.design.wires import Wire

Options = list[tuple[str, str]]


@dataclass(frozen=True)
class OnWay:
    """A wire at a way: its number, colours, where it leads."""

    link_uid: str
    number: str
    letters: str
    leads_to: str


@dataclass(frozen=True)
class FuseCell:
    """A fused way: its rating, and the ratings that the stores have."""

    uid: str
    words: str
    rating: str
    options: Options


@dataclass(frozen=True)
class LoadCell:
    """A load's current, by hand or as its need says."""

    uid: str
    words: str
    by_hand: str
    reckoned: str


@dataclass(frozen=True)
class WayRow:
    uid: str
    label: str
    contact: str
    takes: int
    max_a: str
    wires: tuple[OnWay, ...]
    mate: str
    # For a plug: the crossing, the way that it goes through, and those that it may go through.
    crossing_uid: str
    goes_through: str
    through: Options
    fuse: FuseCell | None
    load: LoadCell | None

    @property
    def id(self) -> str:
        return f"way-{self.uid}"


@dataclass(frozen=True)
class FittingRow:
    uid: str
    name: str
    kind: str
    part: str
    part_uid: str
    place: str
    supplied_by: str
    note: str
    # Of a splice: the run that it is set back into, how far, and the runs that it may lie in.
    along_run_uid: str
    along_mm: str
    along_runs: Options
    # Of a half: whether its housing is sealed, and its empty cavities are blanked.
    is_sealed: bool
    blanked: str
    is_plug: bool
    is_half: bool
    # Of a fitting without a part: the contact of its ways, and the contacts there are.
    contact: str
    contacts: Options
    ways: tuple[WayRow, ...]
    findings: tuple[Answered, ...]

    @property
    def id(self) -> str:
        return f"fitting-{self.uid}"


class FittingRows:
    def __init__(self, table: WireTable) -> None:
        self.table = table
        self.design: Design = table.design
        self.catalogue = table.view.catalogue

    @cached_property
    def by_place(self) -> list[tuple[str, list[FittingRow]]]:
        """Places in their order, each with its fittings."""
        found: dict[str, list[FittingRow]] = {uid: [] for uid in self.design.place}
        for fitting in self.design.fitting.values():
            found[fitting.place_uid].append(self.row(fitting))
        return [(self.design.place[uid].name, rows) for uid, rows in found.items() if rows]

    def row(self, fitting: Fitting) -> FittingRow:
        part = self.catalogue.get(fitting.part_uid)
        return FittingRow(
            uid=fitting.uid,
            name=fitting.name,
            kind=fitting.kind,
            part=part.name if part else "no part chosen",
            part_uid=fitting.part_uid or "",
            place=self.design.place[fitting.place_uid].name,
            supplied_by=fitting.supplied_by,
            note=fitting.note,
            along_run_uid=fitting.along_run_uid or "",
            along_mm="" if fitting.along_mm is None else mm(fitting.along_mm),
            along_runs=self._along_runs(fitting),
            is_sealed=is_sealed(self.catalogue.parts, fitting),
            blanked="yes" if fitting.blanked else "no",
            is_plug=fitting.mate_uid is not None,
            is_half=fitting.kind in HALVES,
            contact=common_contact(self.design.ways_of[fitting.uid]),
            contacts=[] if fitting.part_uid else self._contacts(fitting),
            ways=tuple(self._way(fitting, way) for way in self.design.ways_of[fitting.uid]),
            findings=tuple(self.table.findings.get(("fitting", fitting.uid), ())),
        )

    def _contacts(self, fitting: Fitting) -> Options:
        """What is on offer, with what stands there."""
        standing = {way.contact for way in self.design.ways_of[fitting.uid]}
        offered = contacts_on_offer(self.catalogue)
        return [(each, each) for each in (*sorted(standing - {*offered}), *offered)]

    def _along_runs(self, fitting: Fitting) -> Options:
        if not is_splice(fitting):
            return []
        met = [(run.uid, runs.name(self.design, run)) for run in runs_at(self.design, fitting)]
        return [("", "none: it lies at its place"), *met]

    def _way(self, fitting: Fitting, way: Way) -> WayRow:
        crossing = self._crossings.get(way.uid)
        return WayRow(
            uid=way.uid,
            label=way.label,
            contact=way.contact,
            takes=way.takes,
            max_a="" if way.max_a is None else short(way.max_a),
            wires=tuple(
                self._on_way(wire, way) for wire in self.table.view.on_way.get(way.uid, ())
            ),
            mate=self._mate(fitting, way),
            crossing_uid=crossing.uid if crossing else "",
            goes_through=self._goes_through(crossing),
            through=self._through(crossing) if crossing else [],
            fuse=self._fuse(way),
            load=self._load(way),
        )

    def _on_way(self, wire: Wire, way: Way) -> OnWay:
        far = wire.right if wire.left.way_uid == way.uid else wire.left
        return OnWay(
            wire.link.uid,
            wire.number,
            letters(self.design, wire.link),
            self.design.way_name(far.way_uid),
        )

    # Plugs

    @cached_property
    def _crossings(self) -> dict[str, Crossing]:
        return {
            uid: each
            for each in self.design.crossing.values()
            for uid in (each.way_a_uid, each.way_b_uid)
        }

    def _mate(self, fitting: Fitting, way: Way) -> str:
        """The wires at the same way of the mating half."""
        for other in self.design.ways_of.get(fitting.mate_uid or "", ()):
            if other.label == way.label:
                return ", ".join(wire.number for wire in self.table.view.on_way.get(other.uid, ()))
        return ""

    def _halves(self, crossing: Crossing) -> list[Fitting]:
        own = [
            self.design.fitting[self.design.way[uid].fitting_uid]
            for uid in (crossing.way_a_uid, crossing.way_b_uid)
        ]
        socket = next((half for half in own if half.run_uid), own[0])
        return halves_at(self.design, socket.run_uid, socket.place_uid)

    def _goes_through(self, crossing: Crossing | None) -> str:
        if crossing is None:
            return ""
        ways = {crossing.way_a_uid, crossing.way_b_uid}
        for half in self._halves(crossing):
            if any(way.uid in ways for way in self.design.ways_of[half.uid]):
                return f"{half.uid}|{label_of(self.design, crossing)}"
        return ""

    def _through(self, crossing: Crossing) -> Options:
        options = []
        for half in self._halves(crossing):
            name = half.name.rpartition(",")[0] or half.name
            for way in self.design.ways_of[half.uid]:
                there = self._crossings.get(way.uid)
                taken = there is not None and there.uid != crossing.uid
                number_there = self.design.link[there.link_uid].number if there and taken else ""
                words = f"{name} · {way.label}" + (f", now wire {number_there}" if taken else "")
                options.append((f"{half.uid}|{way.label}", words))
        return options

    # Inside

    @cached_property
    def _inside(self) -> dict[str, list[Bridge]]:
        found: dict[str, list[Bridge]] = {}
        for bridge in self.design.bridge.values():
            way_uid = bridge.way_b_uid if bridge.kind == "fuse" else bridge.way_a_uid
            found.setdefault(way_uid, []).append(bridge)
        return found

    def _fuse(self, way: Way) -> FuseCell | None:
        for bridge in self._inside.get(way.uid, ()):
            if bridge.kind == "fuse":
                return self.fuse_cell(bridge)
        return None

    def fuse_cell(self, bridge: Bridge) -> FuseCell:
        """The rating of a fused way, to choose from what the stores have."""
        ratings = fuse_ratings(self.catalogue, bridge.fuse_kind)
        if bridge.fuse_a is not None and bridge.fuse_a not in ratings:
            ratings = sorted([*ratings, bridge.fuse_a])
        options = [("", "none yet"), *((f"{a:g}", f"{a:g} A") for a in ratings)]
        rating = "" if bridge.fuse_a is None else f"{bridge.fuse_a:g}"
        return FuseCell(bridge.uid, self.design.way_name(bridge.way_b_uid), rating, options)

    def _load(self, way: Way) -> LoadCell | None:
        for bridge in self._inside.get(way.uid, ()):
            if bridge.kind in ("load", "coil"):
                figures = self.table.figures.loads.get(bridge.uid)
                reckoned = "" if figures is None else f"{number(figures.heat_a, 2)} A"
                by_hand = "" if bridge.load_a is None else f"{bridge.load_a:g}"
                name = self.design.fitting[bridge.fitting_uid].name
                return LoadCell(bridge.uid, name, by_hand, reckoned)
        return None
