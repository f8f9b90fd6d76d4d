"""A whole design as plain frozen values, and the way from the tables to them and back."""

from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from functools import cache, cached_property
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.design import DESIGN_TABLES, Revision
from webapp.records.jobs import Loom, Project
from webapp.stages.one_moment import once


@dataclass(frozen=True, kw_only=True)
class Row:
    uid: str
    position: int = 0
    origin: str = ""
    by_hand: tuple[str, ...] = ()
    version: int = 1


@dataclass(frozen=True, kw_only=True)
class Basis(Row):
    supply_place_uid: str | None = None
    isolator_place_uid: str | None = None
    fuse_board_place_uid: str | None = None
    plug_place_uids: tuple[str, ...] = ()
    battery: str = ""
    supply_mohm_new: float = 6.0
    supply_mohm_old_cold: float = 25.0
    heat_at_v: float
    drop_at_v: float
    ambient_c: float = 30.0
    standard: str
    colour_code: str
    cable_kind: str
    cable_finish: str = "plain"
    insulation: str = "pvc-thin"
    limit_c: float = 70.0
    min_section_mm2: float = 0.5
    terminal_finish: str = "crimp only"
    fuse_sharing: str = "own"


@dataclass(frozen=True, kw_only=True)
class Place(Row):
    name: str
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Run(Row):
    from_place_uid: str
    to_place_uid: str
    length_mm: int | None = None
    plus_minus_mm: int = 0
    measured_how: str = ""
    measured_by: str = ""
    covering: str = ""
    covering_part_uid: str | None = None
    surround_c: float = 30.0
    through: str = ""
    through_part_uid: str | None = None
    bend_at_mm: int | None = None
    bend_radius_mm: int | None = None


@dataclass(frozen=True, kw_only=True)
class Need(Row):
    name: str
    quantity: int = 1
    place_uid: str
    kind: str
    rating: float
    rating_unit: str
    rated_at_v: float
    control: str
    control_place_uid: str | None = None
    second_place_uid: str | None = None
    relay_place_uid: str | None = None
    switched_with_uid: str | None = None
    also_with_uid: str | None = None
    live_when: str = "always"
    apart_from_uid: str | None = None
    service: str = "other"
    on_s: float | None = None
    off_s: float | None = None
    max_drop_percent: float = 10.0
    inrush_a: float | None = None
    inrush_s: float | None = None
    max_fuse_a: float | None = None
    before_isolator: bool = False
    only_in_neutral: bool = False
    own_lead: bool = False
    to_field_terminal: bool = False
    laid_as: str = "single wires"
    feeds: int = 1
    extra_sizes: int = 0
    note: str = ""

    @property
    def continuous(self) -> bool:
        return self.on_s is None


@dataclass(frozen=True, kw_only=True)
class Fitting(Row):
    place_uid: str
    name: str
    kind: str
    part_uid: str | None = None
    mate_uid: str | None = None
    run_uid: str | None = None
    along_run_uid: str | None = None
    along_mm: int | None = None
    blanked: bool = False
    supplied_by: str = "workshop"
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Way(Row):
    fitting_uid: str
    label: str
    contact: str
    takes: int = 1
    max_a: float | None = None


@dataclass(frozen=True, kw_only=True)
class Bridge(Row):
    fitting_uid: str
    way_a_uid: str
    way_b_uid: str
    kind: str
    need_uid: str | None = None
    load_a: float | None = None
    fuse_a: float | None = None
    fuse_kind: str | None = None
    fuse_part_uid: str | None = None
    max_fuse_a: float | None = None
    resistance_ohm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Circuit(Row):
    number: int
    name: str
    service: str = "other"
    need_uid: str | None = None


@dataclass(frozen=True, kw_only=True)
class Cable(Row):
    name: str
    kind: str
    part_uid: str | None = None


@dataclass(frozen=True, kw_only=True)
class Link(Row):
    number: int
    circuit_uid: str
    from_way_uid: str | None = None
    to_way_uid: str | None = None
    route: tuple[str, ...] | None = None
    csa_mm2: float | None = None
    main: str = ""
    tracer: str = ""
    cable_part_uid: str | None = None
    lengths_mm: dict[str, int] = field(default_factory=dict)
    starter_cable: bool = False
    own_lead: bool = False
    cable_uid: str | None = None
    core: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Crossing(Row):
    link_uid: str
    way_a_uid: str
    way_b_uid: str


@dataclass(frozen=True, kw_only=True)
class WireEnd(Row):
    link_uid: str
    terminal_part_uid: str | None = None
    shrink_part_uid: str | None = None
    shrink_mm: int | None = None
    strip_mm: float | None = None
    solder: bool = False
    loose_mm: int | None = None
    allowance_mm: int = 0
    tag: str = ""


@dataclass(frozen=True, kw_only=True)
class Removed(Row):
    what: str


ROW_TYPES: dict[str, type[Row]] = {
    "basis": Basis,
    "place": Place,
    "run": Run,
    "need": Need,
    "fitting": Fitting,
    "way": Way,
    "bridge": Bridge,
    "circuit": Circuit,
    "cable": Cable,
    "link": Link,
    "crossing": Crossing,
    "wire_end": WireEnd,
    "removed": Removed,
}
TABLE_OF = {row_type: table for table, row_type in ROW_TYPES.items()}


@dataclass(frozen=True)
class Design:
    """One revision of a loom. Each table is a dictionary by uid, in the order that people see."""

    nominal_v: int
    polarity: str
    setting: str
    basis: Basis
    place: dict[str, Place] = field(default_factory=dict)
    run: dict[str, Run] = field(default_factory=dict)
    need: dict[str, Need] = field(default_factory=dict)
    fitting: dict[str, Fitting] = field(default_factory=dict)
    way: dict[str, Way] = field(default_factory=dict)
    bridge: dict[str, Bridge] = field(default_factory=dict)
    circuit: dict[str, Circuit] = field(default_factory=dict)
    cable: dict[str, Cable] = field(default_factory=dict)
    link: dict[str, Link] = field(default_factory=dict)
    crossing: dict[str, Crossing] = field(default_factory=dict)
    wire_end: dict[str, WireEnd] = field(default_factory=dict)
    removed: dict[str, Removed] = field(default_factory=dict)

    @cached_property
    def ways_of(self) -> dict[str, list[Way]]:
        """The ways of each fitting, in order, by the fitting's uid."""
        found: dict[str, list[Way]] = {uid: [] for uid in self.fitting}
        for way in self.way.values():
            found[way.fitting_uid].append(way)
        return found

    def table(self, name: str) -> dict[str, Any]:
        if name == "basis":
            return {self.basis.uid: self.basis}
        rows: dict[str, Any] = getattr(self, name)
        return rows

    def way_name(self, way_uid: str | None) -> str:
        if way_uid is None:
            return "left loose"
        way = self.way[way_uid]
        return f"{self.fitting[way.fitting_uid].name} · {way.label}"

    def place_of_way(self, way_uid: str) -> str:
        return self.fitting[self.way[way_uid].fitting_uid].place_uid


def row_values(row: Row) -> dict[str, Any]:
    """Column values as the tables and the journal hold them (lists, not tuples)."""
    return {name: _kept(getattr(row, name)) for name in _columns(TABLE_OF[type(row)])}


def _kept(value: Any) -> Any:
    if isinstance(value, tuple):
        return list(value)
    return dict(value) if isinstance(value, dict) else value


def row_from_values(table: str, values: dict[str, Any]) -> Row:
    row_type = ROW_TYPES[table]
    found: dict[str, Any] = {
        item.name: tuple(value) if isinstance(value, list) else value
        for item in fields(row_type)
        if (value := values.get(item.name)) is not None or item.name in values
    }
    return row_type(**found)


@cache
def _columns(table: str) -> tuple[str, ...]:
    return tuple(item.name for item in fields(ROW_TYPES[table]))


def _row(table: str, values: Iterable[Any]) -> Row:
    """A row whose columns are read in the order of its fields: a loom has thousands."""
    found = [tuple(value) if isinstance(value, list) else value for value in values]
    named: dict[str, Any] = dict(zip(_columns(table), found, strict=True))
    return ROW_TYPES[table](**named)


def load(session: Session, revision_id: int) -> Design:
    """The design of one revision, read whole."""
    return once(session, ("design", revision_id), lambda: _load(session, revision_id))


def _load(session: Session, revision_id: int) -> Design:
    revision = session.get_one(Revision, revision_id)
    loom = session.get_one(Loom, revision.loom_id)
    project = session.get_one(Project, loom.project_id)
    tables: dict[str, dict[str, Any]] = {}
    for name, model in DESIGN_TABLES.items():
        statement = (
            select(*(getattr(model, column) for column in _columns(name)))
            .where(model.revision_id == revision_id)
            .order_by(model.position, model.uid)
        )
        tables[name] = {
            row.uid: row for row in (_row(name, values) for values in session.execute(statement))
        }
    (basis,) = tables.pop("basis").values()
    return Design(
        nominal_v=project.nominal_v,
        polarity=project.polarity,
        setting=project.setting,
        basis=basis,
        **tables,
    )
