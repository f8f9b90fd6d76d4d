"""Tool by tool: one tool in hand, all that is done with it, in the order of a workshop.

Groups follow each other so that nothing on an earlier panel waits for a later one: ends that are
made once a run is threaded through its grommet come after the threading, and what is crimped,
soldered and shrunk with one setting of a tool stays together.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum

from webapp.stages.building.parts import Parts, part
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.wire_colours import letters
from webapp.stages.building.wire_steps import fitting_of, is_plug, is_splice, strip_length_mm
from webapp.stages.building.work_list.hands import crimp_name, shrink_size, strip_words
from webapp.stages.building.work_list.panels import Panel, Row, Task, tasks
from webapp.stages.design.cables import SCREEN
from webapp.stages.design.rows import Design


class Phase(IntEnum):
    """What a workshop does one after the other."""

    CUT = 1
    PREPARE = 2
    THREAD = 3
    PASS = 4
    THREAD_LATE = 5
    CRIMP = 6
    SOLDER = 7
    SHRINK = 8
    TUG = 9
    INSERT = 10
    SPLICE = 11
    PLUG = 12
    BIND = 13
    TRY = 14
    COVER = 15


@dataclass(frozen=True)
class Spot:
    """Where a step stands: its group (`order` among those of its phase), and its place in it."""

    phase: Phase
    key: str
    title: str
    side: str = ""
    order: tuple[float | str, ...] = ()
    within: tuple[float | str, ...] = ()
    head: str = ""
    setup: str = ""
    plug_uid: str | None = None


PHASE_OF = {
    "cut": Phase.CUT,
    "lay": Phase.CUT,
    "sheath": Phase.PREPARE,
    "twist": Phase.PREPARE,
    "screen": Phase.THREAD,
    "thread": Phase.THREAD,
    "strip": Phase.THREAD,
    "tag": Phase.THREAD,
    "make": Phase.THREAD,
    "pass": Phase.PASS,
    "crimp": Phase.CRIMP,
    "solder": Phase.SOLDER,
    "shrink": Phase.SHRINK,
    "tug": Phase.TUG,
    "insert": Phase.INSERT,
    "assemble": Phase.PLUG,
    "bind": Phase.BIND,
    "try": Phase.TRY,
    "cover": Phase.COVER,
}
RUN_TITLES = {
    Phase.PASS: "Slide on grommets and glands",
    Phase.PLUG: "Plugs and sockets",
    Phase.BIND: "Bind with masking tape",
    Phase.TRY: "Try in place",
}


def by_tool(design: Design, parts: Parts, plan: WorkPlan) -> list[Panel]:
    """All of one tool together."""
    sorter = _Sorter(design, parts, plan)
    groups: dict[tuple[Phase, str], list[tuple[Spot, Task]]] = {}
    for task in tasks(plan).values():
        spot = sorter.spot(task)
        groups.setdefault((spot.phase, spot.key), []).append((spot, task))
    # Steps of one end keep their order: sorting is stable, and tasks come in it.
    found = [sorted(group, key=lambda one: one[0].within) for group in groups.values()]
    found.sort(key=lambda group: (group[0][0].phase, group[0][0].order, group[0][0].key))
    return [_panel(group) for group in found]


def _panel(group: list[tuple[Spot, Task]]) -> Panel:
    first = group[0][0]
    rows = tuple(Row(task, spot.head) for spot, task in group)
    return Panel(first.key, first.title, first.side, rows, first.setup, plug_uid=first.plug_uid)


class _Sorter:
    def __init__(self, design: Design, parts: Parts, plan: WorkPlan) -> None:
        self.design, self.parts = design, parts
        self.late = _late(plan)
        self.wire_at = {work.uid: number for number, work in enumerate(plan.wires)}
        self.other_at = {other.uid: number for number, other in enumerate(plan.others)}

    def spot(self, task: Task) -> Spot:
        phase = PHASE_OF.get(task.step.operation)
        if task.other and is_splice(self.design.fitting.get(task.other.uid)):
            return Spot(Phase.SPLICE, "splices", "Splices", within=(self._other(task),),
                        head=task.other.name)  # fmt: skip
        if phase is None:
            return Spot(Phase.TRY, task.step.operation, task.step.title)
        if phase is Phase.CUT:
            return self._cut(task)
        if phase is Phase.THREAD:
            return self._thread(task)
        if phase is Phase.CRIMP:
            return self._crimp(task)
        if phase is Phase.INSERT:
            return self._insert(task)
        if phase in (Phase.SOLDER, Phase.SHRINK, Phase.TUG):
            return self._finish(task, phase)
        if phase is Phase.PREPARE:
            return Spot(phase, "cables", "Cables and pairs", head=_name(task))
        if phase is Phase.COVER:
            covering = task.step.title.partition(": ")[2]
            return Spot(phase, f"cover:{covering}", "Cover", covering, within=(self._other(task),))
        return Spot(phase, phase.name.lower(), RUN_TITLES[phase], within=(self._other(task),))

    def _other(self, task: Task) -> float:
        return self.other_at.get(task.other.uid, -1) if task.other else -1

    def _wire(self, task: Task) -> float:
        return self.wire_at[task.wire.uid] if task.wire else -1

    def _cut(self, task: Task) -> Spot:
        """By cable and colour, the thickest cable first and the longest piece of each first."""
        if task.step.operation == "lay":
            return Spot(Phase.CUT, "lay", "Lay in", "the customer's own leads", (1,))
        if task.wire is None:
            return Spot(Phase.CUT, "cut:cables", "Cut", "cables of several cores", (-1000,))
        link = task.wire.wire.link
        cable = part(self.parts, link.cable_part_uid)
        csa_mm2 = link.csa_mm2 or 0
        name = cable.name if cable else f"{csa_mm2:g} mm²"
        colours = letters(self.design, link)
        return Spot(
            Phase.CUT,
            f"cut:{link.cable_part_uid or ''}|{csa_mm2:g}",
            "Cut",
            name,
            (-csa_mm2, name),
            (colours, -(task.wire.wire.length_mm or 0), self._wire(task)),
            head=colours or "no colour",
        )

    def _thread(self, task: Task) -> Spot:
        """Threading on and stripping, by what the stripper is set to; or, in short, making."""
        assert task.wire
        assert task.at
        late = task.uid in self.late
        phase = Phase.THREAD_LATE if late else Phase.THREAD
        mark, words = ("late-", "after its grommet") if late else ("", "")
        within = (self._wire(task), task.at.uid)
        if task.step.operation == "tag" or (task.at.loose and task.wire.wire.link.core == SCREEN):
            return Spot(phase, f"{mark}loose", "Loose ends", words, (2,), within)
        if task.step.setup:
            return Spot(
                phase, f"{mark}make:{task.step.setup}", "Make ends",
                _with(crimp_name(self.parts, task.step.setup), words),
                (-1, task.step.setup), within, setup=task.step.setup,
            )  # fmt: skip
        strip_mm = strip_length_mm(self.parts, task.at)
        csa_mm2 = task.wire.wire.link.csa_mm2 or 0
        made = task.step.operation == "make"
        if strip_mm is None:
            title = "Tag ends" if made else "Thread on"
            key = f"{mark}{'tag' if made else 'thread'}"
            return Spot(phase, key, title, _with("nothing to strip", words), (1,), within)
        title = "Make ends" if made else "Thread on and strip"
        side = _with(f"{strip_words(strip_mm)}, {csa_mm2:g} mm²", words)
        key = f"{mark}strip:{strip_mm:g}|{csa_mm2:g}"
        return Spot(phase, key, title, side, (0, -csa_mm2, strip_mm), within)

    def _crimp(self, task: Task) -> Spot:
        group = task.step.setup
        terminal = part(self.parts, task.at.made.terminal_part_uid) if task.at else None
        side = crimp_name(self.parts, group) if group else terminal.name if terminal else ""
        key = f"crimp:{group or (terminal.uid if terminal else '')}"
        return Spot(Phase.CRIMP, key, "Crimp", side, (side,), (self._wire(task),), setup=group)

    def _finish(self, task: Task, phase: Phase) -> Spot:
        made = task.at.made if task.at else None
        within = (self._wire(task),)
        if phase is Phase.SHRINK:
            shrink = part(self.parts, made.shrink_part_uid if made else None)
            size = shrink_size(shrink) if shrink else ""
            order = float(shrink.facts.get("expanded_mm") or 0) if shrink else 0.0
            key = f"shrink:{shrink.uid if shrink else ''}"
            return Spot(phase, key, "Shrink", size, (order,), within)
        terminal = part(self.parts, made.terminal_part_uid if made else None)
        name = terminal.name if terminal else ""
        title = "Solder" if phase is Phase.SOLDER else "Tug"
        return Spot(phase, title.lower(), title, within=(name, *within), head=name)

    def _insert(self, task: Task) -> Spot:
        """By the half that the end goes into; what goes elsewhere by its place."""
        assert task.wire
        ends = (task.at,) if task.at else task.wire.wire.ends
        fittings = [fitting for end in ends if (fitting := fitting_of(self.design, end))]
        half = next((fitting for fitting in fittings if is_plug(fitting)), None)
        order = {uid: number for number, uid in enumerate(self.design.fitting)}
        if half:
            way = next((end.way_uid for end in ends if fitting_of(self.design, end) is half), None)
            ways = [each.uid for each in self.design.ways_of[half.uid]]
            return Spot(
                Phase.INSERT, f"insert:{half.uid}", "Insert", half.name, (0, order[half.uid]),
                (ways.index(way) if way in ways else 0, self._wire(task)), plug_uid=half.uid,
            )  # fmt: skip
        place_uid = fittings[0].place_uid
        place = self.design.place[place_uid].name
        at = list(self.design.place).index(place_uid)
        within = (order[fittings[0].uid], self._wire(task))
        return Spot(Phase.INSERT, f"insert-at:{place_uid}", "Put in place", place, (1, at), within)


def _late(plan: WorkPlan) -> Mapping[str, bool]:
    """Steps of ends that rest on a run's being threaded through."""
    late: dict[str, bool] = {}
    for step in plan:
        if step.operation == "pass" or any(uid in late for uid in step.after):
            late[step.uid] = True
    return late


def _with(words: str, more: str) -> str:
    return ", ".join(filter(None, (words, more)))


def _name(task: Task) -> str:
    return task.other.name if task.other else ""
