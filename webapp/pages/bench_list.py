"""What a bench page shows: the unit's work list in an order, the units that are ticked along."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from urllib.parse import urlencode

from sqlalchemy.orm import Session

from webapp.pages.bench_drawings import Drawings
from webapp.pages.bench_moment import Moment
from webapp.pages.bench_panels import PanelView, panels
from webapp.pages.unit_frame import UnitFrame, unit_frame
from webapp.pages.wording import clock
from webapp.stages import catalogue, photos
from webapp.stages.building import bench, crimp_setups, units
from webapp.stages.building.units import UnitRow
from webapp.stages.building.work_list import ORDERS, USUAL, work_list
from webapp.stages.building.work_list.panels import Panel
from webapp.stages.design import rows
from webapp.stages.refusals import NotThere

# The name of each order on its link.
ORDER_NAMES = {"tool": "By tool", "wire": "By wire", "plug": "By plug", "place": "By place"}


@dataclass(frozen=True)
class Asked:
    """What the address of a bench page asks for; nothing of it has to fit the unit."""

    order: str = ""
    at: str = ""
    step: str = ""
    along: str = ""


@dataclass(frozen=True)
class Address:
    """The address of a unit's bench page, in its order and with the units that go along."""

    unit_id: int
    order: str
    along: str

    def _query(self, **more: str) -> str:
        return urlencode({k: v for k, v in ({"order": self.order} | more).items() if v})

    def to(self, key: str = "") -> str:
        return f"/units/{self.unit_id}/bench?{self._query(at=key, **{'with': self.along})}"

    def in_order(self, order: str) -> str:
        return Address(self.unit_id, order, self.along).to()

    def along_with(self, along: str, key: str) -> str:
        return Address(self.unit_id, self.order, along).to(key)

    def plain(self, key: str, state: str) -> str:
        """Where a tick goes as a form."""
        query = self._query(at=key, state=state, **{"with": self.along})
        return f"/units/{self.unit_id}/ticks/plain?{query}"

    def say(self, key: str, step: str = "") -> str:
        query = self._query(at=key, step=step, **{"with": self.along})
        return f"/units/{self.unit_id}/bench/say?{query}"


@dataclass(frozen=True)
class BenchList:
    """All that one bench page needs to know."""

    frame: UnitFrame
    address: Address
    # This unit first, then those that are ticked along.
    units: tuple[UnitRow, ...]
    # Those that could be.
    mates: tuple[UnitRow, ...]
    moment: Moment
    panels: list[PanelView]
    place: int
    drawings: Drawings = field(repr=False)
    states: dict[int, dict[str, list[object]]] = field(repr=False)

    @property
    def panel(self) -> PanelView:
        return self.panels[self.place]

    @cached_property
    def setups(self) -> dict[str, dict[str, object]]:
        keys = dict.fromkeys(step.setup for step in self.moment.plan if step.setup)
        return crimp_setups.words_for(self.moment.setups, keys)

    @property
    def left(self) -> int:
        return sum(panel.left for panel in self.panels)


def bench_list(session: Session, unit_id: int, asked: Asked) -> BenchList:
    """
    Raises:
        NotThere: no such unit, or nothing is to be done to it.
    """
    frame = unit_frame(session, unit_id)
    unit = frame.unit
    moment = Moment(
        rows.load(session, unit.revision_id),
        catalogue.read(session).parts,
        units.plan_of(session, unit),
        bench.state(session, unit_id),
        crimp_setups.of_loom(session, unit.loom_id),
        photos.of_loom(session, unit.loom_id, "step", unit_id=unit_id),
    )
    order = _order(moment, asked)
    drawings = Drawings(moment.design, moment.plan)
    found = panels(moment, order, drawings)
    if not found:
        raise NotThere
    mates = _mates(frame)
    along = _along(mates, asked.along)
    return BenchList(
        frame=frame,
        address=Address(unit_id, order, ",".join(str(one.id) for one in along)),
        units=(unit, *along),
        mates=mates,
        moment=moment,
        panels=found,
        place=_place(moment, found, asked),
        drawings=drawings,
        states={one.id: _states(session, one.id, moment, unit_id) for one in (unit, *along)},
    )


def _order(moment: Moment, asked: Asked) -> str:
    """As asked for; a link to one wire, splice, plug or run opens the list by wire."""
    if asked.order in ORDERS:
        return asked.order
    keys = {panel.key for panel in _by_wire(moment)} | {work.uid for work in moment.plan.wires}
    return "wire" if asked.at in keys else USUAL


def _by_wire(moment: Moment) -> Sequence[Panel]:
    return work_list(moment.design, moment.parts, moment.plan, "wire")


def _place(moment: Moment, found: list[PanelView], asked: Asked) -> int:
    """Which panel: as asked for, else the first that is not finished."""
    keys = [panel.key for panel in found]
    left_end = {work.uid: work.left.uid for work in moment.plan.wires}
    wanted = left_end.get(asked.at, asked.at)
    if asked.step:
        steps = ((n, row.uid) for n, panel in enumerate(found) for row in panel.rows)
        shown = next((n for n, uid in steps if uid == asked.step), None)
        if shown is not None:
            return shown
    if wanted in keys:
        return keys.index(wanted)
    return next((n for n, panel in enumerate(found) if panel.left), 0)


def _mates(frame: UnitFrame) -> tuple[UnitRow, ...]:
    """The other units at build, of the same revision and depth: their steps are the same."""
    own = frame.unit
    if own.stage != "build":
        return ()
    return tuple(
        one
        for one in frame.batch
        if one.id != own.id and one.stage == "build"
        and (one.revision_id, one.depth) == (own.revision_id, own.depth)
    )  # fmt: skip


def _along(mates: tuple[UnitRow, ...], along: str) -> tuple[UnitRow, ...]:
    if along == "all":
        return mates
    wanted = set(along.split(","))
    return tuple(one for one in mates if str(one.id) in wanted)


def _states(session: Session, unit_id: int, moment: Moment, own_id: int) -> dict[str, list[object]]:
    """The ticked steps of a unit, for the script: state, tick, when, who, note."""
    states = moment.states if unit_id == own_id else bench.state(session, unit_id)
    return {
        uid: [now.state, now.tick_id, clock(now.at), now.person, now.note]
        for uid, now in states.items()
        if uid in moment.plan.by_uid
    }
