"""The design of a loom: revisions, and rows keyed (revision, uid).

A uid survives from revision to revision; labels, ticks and readings name it. Rows of a signed-off
revision are frozen by triggers. Links are stored; stages/design/wires.py derives the wires.
"""

from datetime import datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Flag, Json, Moment, now


class Revision(Base):
    __tablename__ = "revision"
    __table_args__ = (UniqueConstraint("loom_id", "number"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    number: Mapped[int]
    created_at: Mapped[datetime] = mapped_column(Moment, default=now)
    signed_off_at: Mapped[datetime | None] = mapped_column(Moment)
    signed_off_by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    # The reasons and figures as they stood at sign-off: long, so read only when asked for.
    figures: Mapped[Any] = mapped_column(Json, nullable=True, default=None, deferred=True)


class DesignRow:
    """What every row of a design carries."""

    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"), primary_key=True)
    uid: Mapped[str] = mapped_column(Text, primary_key=True)
    position: Mapped[int] = mapped_column(default=0)
    # Which need and which part of its pattern a proposal made this row for; empty when typed.
    origin: Mapped[str] = mapped_column(Text, default="")
    # Names of the columns that a person has set: a later proposal leaves them alone.
    by_hand: Mapped[Any] = mapped_column(Json, default=list)
    version: Mapped[int] = mapped_column(default=1)


def _points_at(column: str, table: str) -> ForeignKeyConstraint:
    # Deferred, so that one command may write rows in any order.
    return ForeignKeyConstraint(
        ["revision_id", column],
        [f"{table}.revision_id", f"{table}.uid"],
        deferrable=True,
        initially="DEFERRED",
    )


class Basis(DesignRow, Base):
    """One row a revision: what the sizing rests on."""

    __tablename__ = "basis"
    __table_args__ = (_points_at("supply_place_uid", "place"),)
    supply_place_uid: Mapped[str | None] = mapped_column(Text)
    isolator_place_uid: Mapped[str | None] = mapped_column(Text)
    fuse_board_place_uid: Mapped[str | None] = mapped_column(Text)
    plug_place_uids: Mapped[Any] = mapped_column(Json, default=list)
    battery: Mapped[str] = mapped_column(Text, default="")
    supply_mohm_new: Mapped[float] = mapped_column(default=6.0)
    supply_mohm_old_cold: Mapped[float] = mapped_column(default=25.0)
    heat_at_v: Mapped[float]
    drop_at_v: Mapped[float]
    ambient_c: Mapped[float] = mapped_column(default=30.0)
    standard: Mapped[str] = mapped_column(Text)
    colour_code: Mapped[str] = mapped_column(Text)
    cable_kind: Mapped[str] = mapped_column(Text)
    cable_finish: Mapped[str] = mapped_column(Text, default="plain")
    insulation: Mapped[str] = mapped_column(Text, default="pvc-thin")
    limit_c: Mapped[float] = mapped_column(default=70.0)
    min_section_mm2: Mapped[float] = mapped_column(default=0.5)
    terminal_finish: Mapped[str] = mapped_column(Text, default="crimp only")
    # Whether circuits that are controlled at one place share fuse-links: own, or by place.
    fuse_sharing: Mapped[str] = mapped_column(Text, default="own")


class Place(DesignRow, Base):
    __tablename__ = "place"
    name: Mapped[str] = mapped_column(Text)
    note: Mapped[str] = mapped_column(Text, default="")


class Run(DesignRow, Base):
    __tablename__ = "run"
    __table_args__ = (
        _points_at("from_place_uid", "place"),
        _points_at("to_place_uid", "place"),
        CheckConstraint("length_mm IS NULL OR length_mm BETWEEN 1 AND 1000000", name="length_mm"),
    )
    from_place_uid: Mapped[str] = mapped_column(Text)
    to_place_uid: Mapped[str] = mapped_column(Text)
    length_mm: Mapped[int | None]
    plus_minus_mm: Mapped[int] = mapped_column(default=0)
    measured_how: Mapped[str] = mapped_column(Text, default="")
    measured_by: Mapped[str] = mapped_column(Text, default="")
    covering: Mapped[str] = mapped_column(Text, default="")
    covering_part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))
    surround_c: Mapped[float] = mapped_column(default=30.0)
    through: Mapped[str] = mapped_column(Text, default="")
    # The grommet or gland that the run passes.
    through_part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))
    # The tightest bend: how far from the from-place, and the radius inside it.
    bend_at_mm: Mapped[int | None]
    bend_radius_mm: Mapped[int | None]


class Need(DesignRow, Base):
    """One thing the loom must do, as the customer says it."""

    __tablename__ = "need"
    __table_args__ = (
        _points_at("place_uid", "place"),
        _points_at("control_place_uid", "place"),
        _points_at("second_place_uid", "place"),
        CheckConstraint("quantity BETWEEN 1 AND 100", name="quantity_sensible"),
    )
    name: Mapped[str] = mapped_column(Text)
    quantity: Mapped[int] = mapped_column(default=1)
    place_uid: Mapped[str] = mapped_column(Text)
    kind: Mapped[str] = mapped_column(Text)
    rating: Mapped[float]
    rating_unit: Mapped[str] = mapped_column(Text)
    rated_at_v: Mapped[float]
    control: Mapped[str] = mapped_column(Text)
    control_place_uid: Mapped[str | None] = mapped_column(Text)
    # Where a manual override, or the other of two switches, sits.
    second_place_uid: Mapped[str | None] = mapped_column(Text)
    # Where its relay sits; null: beside the fuse board.
    relay_place_uid: Mapped[str | None] = mapped_column(Text)
    # Another need's uid: both work from one switch.
    switched_with_uid: Mapped[str | None] = mapped_column(Text)
    # A further need whose feed lights it too, through diodes.
    also_with_uid: Mapped[str | None] = mapped_column(Text)
    # When its feed is live: always, accessory, ignition, second battery.
    live_when: Mapped[str] = mapped_column(Text, default="always")
    # Another need that must not fail together with it.
    apart_from_uid: Mapped[str | None] = mapped_column(Text)
    service: Mapped[str] = mapped_column(Text, default="other")
    on_s: Mapped[float | None]
    off_s: Mapped[float | None]
    max_drop_percent: Mapped[float] = mapped_column(default=10.0)
    inrush_a: Mapped[float | None]
    inrush_s: Mapped[float | None]
    max_fuse_a: Mapped[float | None]
    before_isolator: Mapped[bool] = mapped_column(Flag, default=False)
    only_in_neutral: Mapped[bool] = mapped_column(Flag, default=False)
    own_lead: Mapped[bool] = mapped_column(Flag, default=False)
    # Returns through the alternator's field terminal: a charge warning lamp.
    to_field_terminal: Mapped[bool] = mapped_column(Flag, default=False)
    # single wires, twisted pair, cable of cores, screened cable.
    laid_as: Mapped[str] = mapped_column(Text, default="single wires")
    # What a person chose beyond the plain proposal: feeds side by side, sizes above the least.
    feeds: Mapped[int] = mapped_column(default=1)
    extra_sizes: Mapped[int] = mapped_column(default=0)
    note: Mapped[str] = mapped_column(Text, default="")


class Fitting(DesignRow, Base):
    """A thing with ways at a place. A plug half names the run that it ends and its mate."""

    __tablename__ = "fitting"
    __table_args__ = (
        _points_at("place_uid", "place"),
        _points_at("mate_uid", "fitting"),
        _points_at("run_uid", "run"),
    )
    place_uid: Mapped[str] = mapped_column(Text)
    name: Mapped[str] = mapped_column(Text)
    kind: Mapped[str] = mapped_column(Text)
    part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))
    mate_uid: Mapped[str | None] = mapped_column(Text)
    run_uid: Mapped[str | None] = mapped_column(Text)
    # A splice lies in a run, this far from its place.
    along_run_uid: Mapped[str | None] = mapped_column(Text)
    along_mm: Mapped[int | None]
    # Its empty cavities are blanked.
    blanked: Mapped[bool] = mapped_column(Flag, default=False)
    supplied_by: Mapped[str] = mapped_column(Text, default="workshop")
    note: Mapped[str] = mapped_column(Text, default="")


class Way(DesignRow, Base):
    """One pin, cavity, stud or lead of a fitting, and what a wire needs to be joined to it."""

    __tablename__ = "way"
    __table_args__ = (_points_at("fitting_uid", "fitting"),)
    fitting_uid: Mapped[str] = mapped_column(Text)
    label: Mapped[str] = mapped_column(Text)
    contact: Mapped[str] = mapped_column(Text)
    # How many terminals this way may carry: studs and splices take several.
    takes: Mapped[int] = mapped_column(default=1)
    max_a: Mapped[float | None]


class Bridge(DesignRow, Base):
    """What joins two ways inside a fitting: joined, contact, fuse, load, coil, source, diode
    (way a is the anode), resistor."""

    __tablename__ = "bridge"
    __table_args__ = (
        _points_at("fitting_uid", "fitting"),
        _points_at("way_a_uid", "way"),
        _points_at("way_b_uid", "way"),
        _points_at("need_uid", "need"),
    )
    fitting_uid: Mapped[str] = mapped_column(Text)
    way_a_uid: Mapped[str] = mapped_column(Text)
    way_b_uid: Mapped[str] = mapped_column(Text)
    kind: Mapped[str] = mapped_column(Text)
    need_uid: Mapped[str | None] = mapped_column(Text)
    load_a: Mapped[float | None]
    fuse_a: Mapped[float | None]
    fuse_kind: Mapped[str | None] = mapped_column(Text)
    fuse_part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))
    max_fuse_a: Mapped[float | None]
    resistance_ohm: Mapped[float | None]


class Circuit(DesignRow, Base):
    __tablename__ = "circuit"
    __table_args__ = (_points_at("need_uid", "need"),)
    number: Mapped[int]
    name: Mapped[str] = mapped_column(Text)
    service: Mapped[str] = mapped_column(Text, default="other")
    need_uid: Mapped[str | None] = mapped_column(Text)


class Cable(DesignRow, Base):
    """Links laid as one: the cores of a cable, or a twisted pair of single wires."""

    __tablename__ = "cable"
    name: Mapped[str] = mapped_column(Text)
    # twisted pair, cable of cores, screened cable.
    kind: Mapped[str] = mapped_column(Text)
    part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))


class Link(DesignRow, Base):
    """A connection from way to way along a route; plugs in its path cut it into wires."""

    __tablename__ = "link"
    __table_args__ = (
        _points_at("circuit_uid", "circuit"),
        _points_at("from_way_uid", "way"),
        _points_at("to_way_uid", "way"),
    )
    number: Mapped[int]
    circuit_uid: Mapped[str] = mapped_column(Text)
    # A way may be missing only where that end is left loose.
    from_way_uid: Mapped[str | None] = mapped_column(Text)
    to_way_uid: Mapped[str | None] = mapped_column(Text)
    # Run uids in order from the from-end; empty list: both ends at one place; null: not routed yet.
    route: Mapped[Any] = mapped_column(Json, nullable=True, default=None)
    csa_mm2: Mapped[float | None]
    main: Mapped[str] = mapped_column(Text, default="")
    tracer: Mapped[str] = mapped_column(Text, default="")
    cable_part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))
    # Lengths set by hand, by segment number as text: {"0": 1250}.
    lengths_mm: Mapped[Any] = mapped_column(Json, default=dict)
    starter_cable: Mapped[bool] = mapped_column(Flag, default=False)
    own_lead: Mapped[bool] = mapped_column(Flag, default=False)
    # The cable that it is a core of, and which: a core's colour, or "screen".
    cable_uid: Mapped[str | None] = mapped_column(Text)
    core: Mapped[str] = mapped_column(Text, default="")
    note: Mapped[str] = mapped_column(Text, default="")


class Crossing(DesignRow, Base):
    """Where a link passes a plug and socket: the way nearer its from-end, and the mating way."""

    __tablename__ = "crossing"
    __table_args__ = (
        _points_at("link_uid", "link"),
        _points_at("way_a_uid", "way"),
        _points_at("way_b_uid", "way"),
    )
    link_uid: Mapped[str] = mapped_column(Text)
    way_a_uid: Mapped[str] = mapped_column(Text)
    way_b_uid: Mapped[str] = mapped_column(Text)


class WireEnd(DesignRow, Base):
    """How one end of a wire is made. Uid: link uid and :from, :to, or :<crossing uid>.a or .b."""

    __tablename__ = "wire_end"
    __table_args__ = (_points_at("link_uid", "link"),)
    link_uid: Mapped[str] = mapped_column(Text)
    terminal_part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))
    shrink_part_uid: Mapped[str | None] = mapped_column(ForeignKey("part.uid"))
    shrink_mm: Mapped[int | None]
    strip_mm: Mapped[float | None]
    solder: Mapped[bool] = mapped_column(Flag, default=False)
    loose_mm: Mapped[int | None]
    allowance_mm: Mapped[int] = mapped_column(default=0)
    tag: Mapped[str] = mapped_column(Text, default="")


class Removed(DesignRow, Base):
    """Marks something a person removed, so that a later proposal does not bring it back."""

    __tablename__ = "removed"
    what: Mapped[str] = mapped_column(Text)


class DesignCommand(Base):
    """Append-only: every write to a design, rows before and after. Undo and redo replay it."""

    __tablename__ = "design_command"
    id: Mapped[int] = mapped_column(primary_key=True)
    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"), index=True)
    sentence: Mapped[str] = mapped_column(Text)
    changes: Mapped[Any] = mapped_column(Json)
    # What this entry takes back or does again; null for an ordinary edit.
    undoes_id: Mapped[int | None] = mapped_column(ForeignKey("design_command.id"))
    redoes_id: Mapped[int | None] = mapped_column(ForeignKey("design_command.id"))
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)


class FindingAnswer(Base):
    """Append-only: a finding accepted as it stands, or the acceptance withdrawn, and why."""

    __tablename__ = "finding_answer"
    id: Mapped[int] = mapped_column(primary_key=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"))
    rule: Mapped[str] = mapped_column(Text)
    row_table: Mapped[str] = mapped_column(Text)
    row_uid: Mapped[str] = mapped_column(Text)
    # What the finding said: an acceptance holds for these words alone.
    sentence: Mapped[str] = mapped_column(Text)
    what: Mapped[str] = mapped_column(Text)
    reason: Mapped[str] = mapped_column(Text)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)


DESIGN_TABLES: dict[str, type[Any]] = {
    model.__tablename__: model
    for model in (
        Basis,
        Place,
        Run,
        Need,
        Fitting,
        Way,
        Bridge,
        Circuit,
        Cable,
        Link,
        Crossing,
        WireEnd,
        Removed,
    )
}
