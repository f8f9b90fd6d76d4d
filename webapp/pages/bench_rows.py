"""One row of a bench panel: a step with what the hands need, and how it stands."""

from dataclasses import dataclass, replace

from markupsafe import Markup

from webapp.pages import bench_words
from webapp.pages.bench_drawings import Drawings
from webapp.pages.bench_moment import Moment
from webapp.pages.wording import clock, short
from webapp.stages.building import wire_colours
from webapp.stages.building.bench import StepState, waits_for
from webapp.stages.building.crimp_setups import NONE_YET
from webapp.stages.building.parts import part, says_yes
from webapp.stages.building.steps import EndWork, OtherWork, WireWork
from webapp.stages.building.tick_states import FINISHED, mark
from webapp.stages.building.work_list.hands import Hands, hands
from webapp.stages.building.work_list.panels import Panel, Row, Task
from webapp.stages.design.wires import End
from webapp.stages.photos import PhotoRow

MARKED = ("rework", "scrapped")


@dataclass(frozen=True)
class RowWire:
    """A wire beside its step: drawn as itself, with its number, letters, end and destination."""

    number: str
    drawn: Markup
    letters: str
    side: str
    to: str


@dataclass(frozen=True)
class StepRow:
    """`state` is todo, wait, done, held, rework or scrapped, as static/js/bench/states.js has it.
    `named`: it is of no single wire, so it says itself what it is of."""

    uid: str
    title: str
    detail: str
    head: str
    where: str
    named: bool
    wires: tuple[RowWire, ...]
    faces: tuple[Markup, ...]
    way: str
    after: str
    setup: str
    setup_words: str
    asks: str
    asked: tuple[str, ...]
    cut: str
    state: str
    when: str
    measured: str
    order: int | None
    photos: tuple[PhotoRow, ...]

    @property
    def finished(self) -> bool:
        return self.state == "done"


class Rows:
    """Makes the rows of a page's panels."""

    def __init__(self, moment: Moment, drawings: Drawings) -> None:
        self._moment, self._drawings = moment, drawings
        self._hands: dict[str, Hands] = {}

    def row(self, row: Row, panel: Panel) -> StepRow:
        """A row as it stands on its panel."""
        task, now = row.task, self._moment.states.get(row.task.uid)
        state, when = self._standing(task, now)
        goals = self._goals(task)
        return StepRow(
            uid=task.uid,
            title=task.step.title,
            detail=self._detail(task, panel),
            head=row.head,
            where=self._moment.plan.place_of[task.uid],
            named=task.wire is None and not row.head,
            wires=() if panel.wire else self._wires(task, panel),
            faces=tuple(self._drawings.face(fitting_uid, way) for fitting_uid, way in goals),
            way=goals[0][1] if goals else "",
            after=" ".join(task.step.after),
            setup=task.step.setup,
            setup_words="" if panel.setup else self._setup_words(task),
            asks=bench_words.asks(task.step),
            asked=tuple(bench_words.ask_words(ask) for ask in task.step.asks),
            cut=task.cut_uid,
            state=state,
            when=when,
            measured=_measured(now),
            order=now.tick_id if now and now.state in FINISHED else None,
            photos=tuple(p for p in self._moment.photos.get(task.uid, ()) if not p.removed),
        )

    def acts(self, task: Task) -> set[str]:
        """The operations of a step; one of the short depth holds several."""
        operation = task.step.operation
        found = {operation}
        needed = self._hands_of(task)
        if operation == "make" and needed:
            found |= {"solder"} if needed.soldered else set()
            found |= {"shrink"} if needed.sleeve else set()
        if operation == "join" and task.other and len(task.other.steps) == 1:
            found |= {"solder"} if self._is_soldered(task.other) else set()
            found |= {"shrink"} if any(at.sleeve for at in self._hands_in(task.other)) else set()
        return found

    def _detail(self, task: Task, panel: Panel) -> str:
        if task.other and task.step.operation in ("join", "shrink"):
            needed = self._hands_in(task.other)
            alone = len(task.other.steps) == 1
            return bench_words.splice(task.step, needed, self._is_soldered(task.other), alone)
        needed_here = self._hands_of(task)
        if needed_here and self._setup_words(task).startswith(needed_here.tool):
            needed_here = replace(needed_here, tool="")  # It stands with its die.
        return bench_words.detail(task, needed_here, _said(panel))

    def _setup_words(self, task: Task) -> str:
        """Tool and die, or what is left to do before they may crimp."""
        if not task.step.setup:
            return ""
        setup = self._moment.setups.get(task.step.setup)
        return setup.words if setup else NONE_YET

    def _is_soldered(self, splice: OtherWork) -> bool:
        kind = part(self._moment.parts, self._moment.design.fitting[splice.uid].part_uid)
        return says_yes(kind, "soldered") or any(at.soldered for at in self._hands_in(splice))

    def _hands_in(self, splice: OtherWork) -> list[Hands]:
        """What the hands need at each end that a splice joins."""
        return [
            self._hands_at(work, end, at)
            for work, way_uid in self._moment.wires_of.get(splice.uid, ())
            for end, at in zip(work.ends, work.wire.ends, strict=True)
            if at.way_uid == way_uid
        ]

    def _hands_of(self, task: Task) -> Hands | None:
        work = task.wire
        if work is None:
            return None
        end, at = (task.end, task.at) if task.end and task.at else (work.left, work.wire.left)
        return self._hands_at(work, end, at)

    def _hands_at(self, work: WireWork, end: EndWork, at: End) -> Hands:
        if end.uid not in self._hands:
            self._hands[end.uid] = hands(self._moment.design, self._moment.parts, work, end, at)
        return self._hands[end.uid]

    def _goals(self, task: Task) -> list[tuple[str, str]]:
        """The halves and ways that a step puts an end into."""
        if task.step.operation != "insert" or task.wire is None:
            return []
        work = task.wire
        ends = (
            [(task.end, task.at)] if task.end else list(zip(work.ends, work.wire.ends, strict=True))
        )
        way = self._moment.design.way
        return [
            (way[at.way_uid].fitting_uid, at.way_uid)
            for end, at in ends
            if end and at and end.in_plug and at.way_uid
        ]

    def _wires(self, task: Task, panel: Panel) -> tuple[RowWire, ...]:
        if task.wire:
            return (self._row_wire(task.wire, *self._end_words(task, panel)),)
        if task.other and task.step.operation == "join":
            return self._joined(task.other)
        return self._lying_in(task.other, task.uid) if task.other else ()

    def _end_words(self, task: Task, panel: Panel) -> tuple[str, str]:
        """Which end, and where it goes; on a plug's own panel only which way."""
        assert task.wire
        if task.end is None or task.at is None:
            return "", f"{task.wire.left.to} – {task.wire.right.to}"
        way = self._moment.design.way.get(task.at.way_uid or "")
        own = way is not None and way.fitting_uid == panel.plug_uid
        return f"{task.end.side} end", f"way {way.label}" if way and own else task.end.to

    def _joined(self, splice: OtherWork) -> tuple[RowWire, ...]:
        way = self._moment.design.way
        return tuple(
            self._row_wire(work, f"way {way[way_uid].label}", "")
            for work, way_uid in self._moment.wires_of.get(splice.uid, ())
        )

    def _lying_in(self, cable: OtherWork, step_uid: str) -> tuple[RowWire, ...]:
        """The wires of a cable of several cores, or of a twisted pair: of a pair, which is cut wire
        by wire, that one alone."""
        own = {step.uid for step in cable.steps}
        works = [work for work in self._moment.plan.wires if own.intersection(work.cut_with)]
        cut = [work for work in works if f"{work.uid}:cut" == step_uid]
        return tuple(
            self._row_wire(work, "", f"{work.left.to} – {work.right.to}") for work in cut or works
        )

    def _row_wire(self, work: WireWork, side: str, to: str) -> RowWire:
        letters = wire_colours.letters(self._moment.design, work.wire.link)
        return RowWire(work.number, self._drawings.piece(work), letters, side, to)

    def _standing(self, task: Task, now: StepState | None) -> tuple[str, str]:
        """The state, and in words when and by whom, or what it waits for."""
        if now is not None and now.state == "done":
            return "done", f"done {clock(now.at)} {now.person}"
        if now is not None and now.state == "waived":
            return "done", f"left out: {now.note} ({now.person})"
        waits = self._waiting(task)
        words = "" if waits is None else waits
        if now is not None and now.state == "superseded":
            words = _joined_words(f"again: {now.note}", words)
        if now is not None and (said := mark(now.state, now.note)):
            words = _joined_words(f"{said} ({now.person})", words)
        if now is not None and now.state == "held":
            return "held", words
        if waits is not None:
            return "wait", words
        return (now.state if now is not None and now.state in MARKED else "todo"), words

    def _waiting(self, task: Task) -> str | None:
        """What it waits for, in words where that is elsewhere; None where it may be done."""
        plan = self._moment.plan
        if missing := waits_for(plan, task.step, self._moment.words):
            first = missing[0]
            elsewhere = plan.place_of[first.uid] != plan.place_of[task.uid]
            return f"after {plan.place_of[first.uid]}: {first.title}" if elsewhere else ""
        setup = self._moment.setups.get(task.step.setup)
        if task.step.setup and (setup is None or not setup.ready):
            return "crimp set-up first"
        return None


def _said(panel: Panel) -> str:
    """What stands at the head of a panel, and need not be said in its rows again."""
    return f"{panel.title}, {panel.side}"


def _joined_words(*words: str) -> str:
    return " · ".join(filter(None, words))


def _measured(now: StepState | None) -> str:
    if now is None or now.state not in FINISHED:
        return ""
    height = "" if now.height_mm is None else f"height {short(now.height_mm, 2)} mm"
    pull = "" if now.pull_n is None else f"pull {short(now.pull_n, 1)} N"
    return ", ".join(filter(None, (height, pull)))
