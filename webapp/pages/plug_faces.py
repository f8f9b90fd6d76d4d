"""A plug half as it looks from either side, with the wire in each way."""

from collections.abc import Mapping, Sequence

from markupsafe import Markup

from webapp.drawings.plug_face import SIDES, FaceWay, columns_for, plug_face_svg
from webapp.stages.building import wire_colours
from webapp.stages.design.rows import Design, Fitting, Way
from webapp.stages.design.wires import Wire


def faces(
    design: Design, half: Fitting, on_way: Mapping[str, Sequence[Wire]]
) -> list[tuple[str, Markup]]:
    """Each side's name and drawing."""
    ways = [_way(design, way, on_way.get(way.uid, ())) for way in design.ways_of[half.uid]]
    columns = columns_for(len(ways))
    socket = half.kind == "socket"
    return [
        (side, Markup(plug_face_svg(half.name, ways, columns, socket=socket, side=side)))
        for side in SIDES
    ]


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
