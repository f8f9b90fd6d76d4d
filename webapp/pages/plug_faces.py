"""A plug half as it looks from either side, with the wire in each way; and where wires can go."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from webapp.drawings.plug_face import (
    SIDES,
    FaceWay,
    columns_for,
    plug_face_svg,
    rows_seen,
    way_svg,
)
from webapp.pages.planned_wire import planned_wire
from webapp.stages.building import wire_colours
from webapp.stages.design.editing.fittings import HALVES
from webapp.stages.design.editing.ways import at_way
from webapp.stages.design.rows import Design, Fitting, Way
from webapp.stages.design.wires import Wire

OnWay = Mapping[str, Sequence[Wire]]
WIRE_PX = 170


@dataclass(frozen=True)
class Stop:
    """Something to press at a way: a wire that can be picked up, or room to put one down."""

    way_uid: str
    link_uid: str
    drawn: Markup
    words: str


@dataclass(frozen=True)
class Side:
    """A face from one side: its cells row by row as they are seen."""

    name: str
    columns: int
    cells: tuple[Stop | None, ...]


@dataclass(frozen=True)
class WayStops:
    """A way of a fitting that has no face, with what is at it."""

    label: str
    contact: str
    stops: tuple[Stop, ...]


@dataclass(frozen=True)
class Leading:
    """All that is needed to lead wires from way to way: as drawn, and as two lists to choose from.

    A wire is named by link and way; a way together with the links that were seen there.
    """

    sides: tuple[Side, ...]
    ways: tuple[WayStops, ...]
    wires: tuple[tuple[str, str], ...]
    targets: tuple[tuple[str, str], ...]


def leading(design: Design, fitting: Fitting, on_way: OnWay) -> Leading:
    """What the page of a fitting shows to lead its wires elsewhere."""
    ways = design.ways_of[fitting.uid]
    is_half = fitting.kind in HALVES
    return Leading(
        sides=tuple(_side(design, fitting, on_way, side) for side in SIDES[::-1])
        if is_half
        else (),
        ways=() if is_half else tuple(_stops(design, way, on_way.get(way.uid, ())) for way in ways),
        wires=tuple(
            (f"{wire.link.uid}|{way.uid}", f"{_called(design, wire)}, at way {way.label}")
            for way in ways
            for wire in on_way.get(way.uid, ())
        ),
        targets=tuple(_target(design, fitting, way, on_way) for way in ways),
    )


def _target(design: Design, fitting: Fitting, way: Way, on_way: OnWay) -> tuple[str, str]:
    wires = on_way.get(way.uid, ())
    seen = ",".join(at_way(design, fitting, way))
    words = f"way {way.label}"
    if wires:
        words += ": " + ", ".join(_called(design, wire) for wire in wires)
        words += "" if way.takes > len(wires) else " changes places"
    else:
        words += ", free"
    return f"{way.uid}|{seen}", words


def _called(design: Design, wire: Wire) -> str:
    return f"wire {wire.number} {wire_colours.letters(design, wire.link)}".rstrip()


def _side(design: Design, half: Fitting, on_way: OnWay, side: str) -> Side:
    ways = design.ways_of[half.uid]
    columns = columns_for(len(ways))
    stops = [_stop(design, way, on_way.get(way.uid, ())) for way in ways]
    seen = rows_seen(len(ways), columns, socket=half.kind == "socket", side=side)
    cells = tuple(None if at is None else stops[at] for at in seen)
    return Side(side, columns, cells)


def _stop(design: Design, way: Way, wires: Sequence[Wire]) -> Stop:
    link_uid = wires[0].link.uid if wires else ""
    return Stop(way.uid, link_uid, Markup(way_svg(_way(design, way, wires))), "")


def _stops(design: Design, way: Way, wires: Sequence[Wire]) -> WayStops:
    stops = [
        Stop(way.uid, wire.link.uid, planned_wire(design, wire, WIRE_PX), _called(design, wire))
        for wire in wires
    ]
    if len(wires) < way.takes:
        stops.append(Stop(way.uid, "", Markup(""), "room" if wires else "free"))
    return WayStops(way.label, way.contact, tuple(stops))


def faces(design: Design, half: Fitting, on_way: OnWay) -> list[tuple[str, Markup]]:
    """Each side's name and drawing, the mating side first."""
    ways = face_ways(design, half, on_way)
    columns = columns_for(len(ways))
    socket = half.kind == "socket"
    return [
        (side, Markup(plug_face_svg(half.name, ways, columns, socket=socket, side=side)))
        for side in SIDES[::-1]
    ]


def face_ways(design: Design, half: Fitting, on_way: OnWay) -> list[FaceWay]:
    """The ways of a half in order, each with what is in it."""
    return [_way(design, way, on_way.get(way.uid, ())) for way in design.ways_of[half.uid]]


def _way(design: Design, way: Way, wires: Sequence[Wire]) -> FaceWay:
    if not wires:
        return FaceWay(way.label)
    link = wires[0].link
    return FaceWay(
        way.label,
        ", ".join(wire.number for wire in wires),
        wire_colours.letters(design, link),
        wire_colours.main_rgb(design, link),
        wire_colours.tracer_rgb(design, link),
    )
