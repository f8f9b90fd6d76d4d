"""A wire that nobody has touched yet, drawn as itself."""

from markupsafe import Markup

from webapp.drawings.ends import EndState
from webapp.drawings.wire import wire_svg
from webapp.stages.building import wire_colours
from webapp.stages.design.rows import Design, Link


def planned_wire(design: Design, link: Link, width: float = 320) -> Markup:
    return Markup(
        wire_svg(
            wire_colours.main_rgb(design, link),
            wire_colours.tracer_rgb(design, link),
            EndState.PLANNED,
            EndState.PLANNED,
            width,
            22,
            link.csa_mm2 or 1.0,
            label=f"Wire {link.number} {wire_colours.letters(design, link)}",
        )
    )
