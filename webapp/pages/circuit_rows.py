"""Circuits as rows: their wires, loads and fuse-links; and the fuse chart."""

from dataclasses import dataclass
from functools import cached_property

from webapp.pages.fitting_rows import FittingRows, FuseCell
from webapp.pages.wire_table import WireTable
from webapp.pages.wording import number
from webapp.sizing.fuse_gates import FUSE_KIND_IDS, family
from webapp.stages.design.accepted import Answered
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.rows import Bridge, Circuit, Link


@dataclass(frozen=True)
class CircuitRow:
    uid: str
    number: int
    name: str
    service: str
    wires: tuple[tuple[str, int], ...]
    amps: str
    fuses: tuple[FuseCell, ...]
    findings: tuple[Answered, ...]

    @property
    def id(self) -> str:
        return f"circuit-{self.uid}"


@dataclass(frozen=True)
class ChartRow:
    """One line of the fuse chart."""

    place: str
    fitting_uid: str
    words: str
    rating: str
    kind: str
    protects: str
    amps: str


class CircuitRows:
    def __init__(self, table: WireTable) -> None:
        self.table = table
        self.design = table.design
        self._fittings = FittingRows(table)

    @cached_property
    def rows(self) -> list[CircuitRow]:
        return [self.row(each) for each in sorted(self.design.circuit.values(), key=_number)]

    def row(self, circuit: Circuit) -> CircuitRow:
        links = self._links.get(circuit.uid, [])
        loads = self._loads(links)
        return CircuitRow(
            uid=circuit.uid,
            number=circuit.number,
            name=circuit.name,
            service=circuit.service,
            wires=tuple((link.uid, link.number) for link in sorted(links, key=_number)),
            amps=number(sum(load.heat_a for load in loads), 1) if loads else "–",
            fuses=tuple(self._fittings.fuse_cell(fuse) for fuse in self._fuses(loads, links)),
            findings=tuple(self.table.findings.get(("circuit", circuit.uid), ())),
        )

    @cached_property
    def _links(self) -> dict[str, list[Link]]:
        found: dict[str, list[Link]] = {}
        for link in self.design.link.values():
            found.setdefault(link.circuit_uid, []).append(link)
        return found

    def _loads(self, links: list[Link]) -> list[LoadFigures]:
        """The loads that the circuit's own wires go to."""
        ways = {uid for link in links for uid in (link.from_way_uid, link.to_way_uid)}
        return [
            load
            for load in self.table.figures.loads.values()
            if {load.bridge.way_a_uid, load.bridge.way_b_uid} & ways
        ]

    def _fuses(self, loads: list[LoadFigures], links: list[Link]) -> list[Bridge]:
        """What protects the loads; without loads, the fuse-links that its wires leave from."""
        found = [self.table.figures.fuse_of_load(load) for load in loads]
        if not loads:
            ways = {uid for link in links for uid in (link.from_way_uid, link.to_way_uid)}
            found = [b for b in self._all_fuses if b.way_b_uid in ways]
        return list({fuse.uid: fuse for fuse in found if fuse is not None}.values())

    @cached_property
    def _all_fuses(self) -> list[Bridge]:
        return [bridge for bridge in self.design.bridge.values() if bridge.kind == "fuse"]

    @cached_property
    def chart(self) -> list[ChartRow]:
        """Every fuse-link: where it is, what it is, what it protects."""
        served: dict[str, list[str]] = {}
        for row in self.rows:
            for fuse in row.fuses:
                served.setdefault(fuse.uid, []).append(row.name)
        found = [self._chart_row(fuse, served.get(fuse.uid, [])) for fuse in self._all_fuses]
        return sorted(found, key=lambda row: row.place)

    def _chart_row(self, fuse: Bridge, served: list[str]) -> ChartRow:
        fitting = self.design.fitting[fuse.fitting_uid]
        kind = fuse.fuse_kind or ""
        loaded = self.table.figures.loads_through.get(fuse.uid)
        return ChartRow(
            place=self.design.place[fitting.place_uid].name,
            fitting_uid=fitting.uid,
            words=self.design.way_name(fuse.way_b_uid),
            rating="–" if fuse.fuse_a is None else f"{fuse.fuse_a:g}",
            kind=family(kind).title if kind in FUSE_KIND_IDS else kind,
            protects=", ".join(served) or ("the fuse-links after it" if loaded else "spare"),
            amps=number(self.table.figures.heat_a(fuse.uid), 1),
        )


def _number(row: Circuit | Link) -> int:
    return row.number
