"""A wire as a row: drawn as itself, its ends as the bench has them."""

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from webapp.drawings.ends import EndState
from webapp.drawings.wire import wire_svg
from webapp.stages.building import wire_colours
from webapp.stages.building.end_state import end_states
from webapp.stages.building.steps import WireWork
from webapp.stages.design.rows import Design


@dataclass(frozen=True)
class WireRow:
    uid: str
    number: str
    from_words: str
    to_words: str
    letters: str
    csa_mm2: float | None
    length_mm: int | None
    left: str
    right: str
    svg: Markup
    left_uid: str
    finished: bool


def draw(
    design: Design, work: WireWork, states: tuple[str, str], width: float, height: float
) -> Markup:
    """The wire with its ends in these states."""
    link = work.wire.link
    left, right = (EndState(state) for state in states)
    return Markup(
        wire_svg(
            wire_colours.main_rgb(design, link),
            wire_colours.tracer_rgb(design, link),
            left,
            right,
            width,
            height,
            link.csa_mm2 or 1.0,
            label=f"Wire {work.number} {wire_colours.letters(design, link)}",
        )
    )


def wire_row(design: Design, work: WireWork, states: Mapping[str, str]) -> WireRow:
    """One wire of a unit; `states` holds the state of each ticked step."""
    left, right = end_states(work, states)
    finished = all(states.get(step.uid) in ("done", "waived") for step in work.steps)
    return WireRow(
        uid=work.uid,
        number=work.number,
        from_words=work.left.to,
        to_words=work.right.to,
        letters=wire_colours.letters(design, work.wire.link),
        csa_mm2=work.wire.link.csa_mm2,
        length_mm=work.wire.length_mm,
        left=left,
        right=right,
        svg=draw(design, work, (left, right), 380, 22),
        left_uid=work.left.uid,
        finished=finished,
    )
