"""The panels of a bench page: the unit's work list in the order that was picked, as it stands."""

from collections.abc import Collection
from dataclasses import dataclass

from markupsafe import Markup

from webapp.pages.bench_drawings import Drawings
from webapp.pages.bench_moment import Moment
from webapp.pages.bench_rows import Rows, StepRow
from webapp.pages.wire_rows import draw
from webapp.pages.wording import section
from webapp.stages.building import wire_colours
from webapp.stages.building.crimp_groups import group_of_key
from webapp.stages.building.crimp_setups import NONE_YET
from webapp.stages.building.end_state import end_states
from webapp.stages.building.steps import WireWork
from webapp.stages.building.work_list import work_list
from webapp.stages.building.work_list.hands import crimp_name
from webapp.stages.building.work_list.panels import Panel

WIRE_W, WIRE_H = 752, 60
# What may be ticked: the first of these is the row that is next.
OPEN = ("todo", "rework", "scrapped")
CAUTIONS = {
    "cut": "Eye protection on when cutting.",
    "solder": "Hot iron; draw the fumes off; wash hands after leaded solder.",
    "shrink": "Heat gun: keep it off skin, fuel and sleeves that are done.",
    "try": "Disconnect the battery before the loom is tried in place.",
}


@dataclass(frozen=True)
class BigWire:
    """The one wire of a panel, its ends as the bench has them."""

    drawn: Markup
    left_words: str
    right_words: str
    code: str
    length_mm: int | None


@dataclass(frozen=True)
class PanelSetUp:
    """A crimp set-up that rows of a panel need."""

    group: str
    name: str
    tool: str
    words: str
    ready: bool


@dataclass(frozen=True)
class PanelView:
    """`setup` is that of a panel of crimps; `missing` those that single rows wait for."""

    key: str
    title: str
    side: str
    of: str
    name: str
    wire: BigWire | None
    face: Markup
    face_name: str
    setup: PanelSetUp | None
    missing: tuple[PanelSetUp, ...]
    rows: tuple[StepRow, ...]
    caution: str

    @property
    def last_done(self) -> StepRow | None:
        """What undo takes back."""
        done = [row for row in self.rows if row.order is not None and row.state == "done"]
        return max(done, key=lambda row: row.order or 0, default=None)

    @property
    def left(self) -> int:
        return sum(not row.finished for row in self.rows)


def panels(moment: Moment, order: str, drawings: Drawings) -> list[PanelView]:
    """Every panel of one unit in this order."""
    rows = Rows(moment, drawings)
    found = work_list(moment.design, moment.parts, moment.plan, order)
    return [_view(moment, panel, rows, drawings) for panel in found]


def _view(moment: Moment, panel: Panel, rows: Rows, drawings: Drawings) -> PanelView:
    shown = tuple(rows.row(row, panel) for row in panel.rows)
    half = moment.design.fitting[panel.plug_uid] if panel.plug_uid else None
    current = next((row.way for row in shown if row.state in OPEN), None)
    return PanelView(
        key=panel.key,
        title=panel.title,
        side=panel.side,
        of=_of(moment, panel),
        name=panel.name,
        wire=_big_wire(moment, panel.wire) if panel.wire else None,
        face=drawings.turning_face(half.uid, current) if half else Markup(),
        face_name=half.name if half else "",
        setup=_set_up(moment, panel.setup) if panel.setup else None,
        missing=tuple(_missing(moment, panel)),
        rows=shown,
        caution=_caution({act for row in panel.rows for act in rows.acts(row.task)}),
    )


def _of(moment: Moment, panel: Panel) -> str:
    """2 of 3, wires 7 to 12: where a divided list goes by wire."""
    works = [row.task.wire for row in panel.rows if row.task.wire]
    at = [moment.wire_at[work.uid] for work in works]
    if not panel.of or not works or at != sorted(at):
        return panel.of
    return f"{panel.of}, wires {works[0].number} to {works[-1].number}"


def _big_wire(moment: Moment, work: WireWork) -> BigWire:
    link = work.wire.link
    size = "" if link.csa_mm2 is None else f" · {section(link.csa_mm2)}"
    ends = end_states(work, moment.words)
    return BigWire(
        drawn=draw(moment.design, work, ends, WIRE_W, WIRE_H),
        left_words=work.left.to,
        right_words=work.right.to,
        code=f"{wire_colours.letters(moment.design, link)}{size}",
        length_mm=work.wire.length_mm,
    )


def _missing(moment: Moment, panel: Panel) -> list[PanelSetUp]:
    """Where rows of a panel need several set-ups, those that are still to be made."""
    if panel.setup:
        return []
    keys = dict.fromkeys(row.task.step.setup for row in panel.rows if row.task.step.setup)
    return [found for key in keys if not (found := _set_up(moment, key)).ready]


def _set_up(moment: Moment, key: str) -> PanelSetUp:
    found, name = moment.setups.get(key), crimp_name(moment.parts, key)
    tool = moment.parts[group_of_key(key)[0]].text("tool")
    if found is None:
        return PanelSetUp(key, name, tool, NONE_YET, False)
    return PanelSetUp(key, name, tool, found.words, found.ready)


def _caution(acts: Collection[str]) -> str:
    return " ".join(words for act, words in CAUTIONS.items() if act in acts)
