"""A wire as it is designed, drawn as itself: in its colours, its ends as they will be."""

from markupsafe import Markup

from webapp.drawings.ends import EndState
from webapp.drawings.wire import wire_svg
from webapp.stages.building import wire_colours
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import End, Wire


def planned_wire(design: Design, wire: Wire, width: float = 320) -> Markup:
    return Markup(
        wire_svg(
            wire_colours.main_rgb(design, wire.link),
            wire_colours.tracer_rgb(design, wire.link),
            _state(design, wire.left),
            _state(design, wire.right),
            width,
            22,
            wire.link.csa_mm2 or 1.0,
            label=f"Wire {wire.number} {wire_colours.letters(design, wire.link)}",
        )
    )


def _state(design: Design, end: End) -> EndState:
    if end.way_uid is None:
        return EndState.LOOSE
    contact = design.way[end.way_uid].contact
    if contact == "splice":
        return EndState.SPLICED
    return EndState.PLUGGED if contact.startswith(("housed", "heavy")) else EndState.CUT
