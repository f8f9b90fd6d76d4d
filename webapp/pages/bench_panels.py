"""What the bench tablet shows, in order: a panel for each wire end, cable, splice, plug, run."""

from collections.abc import Collection
from dataclasses import dataclass, replace

from markupsafe import Markup

from webapp.pages.wire_rows import draw
from webapp.pages.wording import clock, section
from webapp.stages.building import wire_colours
from webapp.stages.building.bench import StepState, waits_for
from webapp.stages.building.end_state import end_states
from webapp.stages.building.parts import Parts, part
from webapp.stages.building.steps import EndWork, OtherWork, Step, WireWork, WorkPlan
from webapp.stages.building.tick_states import FINISHED
from webapp.stages.design.rows import Design
from webapp.stages.building.crimp_groups import group_name

States = dict[str, StepState]


@dataclass(frozen=True)
class StepRow:
    """state is done, held, todo or wait, as static/js/bench.js knows them."""

    uid: str
    title: str
    detail: str
    state: str
    when: str
    order: int | None


@dataclass(frozen=True)
class Panel:
    key: str
    title: str
    side: str
    svg: Markup
    left_words: str
    right_words: str
    code: str
    steps: tuple[StepRow, ...]
    in_order: bool
    caution: str = ""

    @property
    def last_done(self) -> StepRow | None:
        """What undo takes back."""
        done = [step for step in self.steps if step.order is not None and step.state == "done"]
        return max(done, key=lambda step: step.order or 0, default=None)

    @property
    def name(self) -> str:
        return f"{self.title}, {self.side}" if self.side else self.title

    @property
    def finished(self) -> bool:
        return all(step.state == "done" for step in self.steps)


CAUTIONS = {
    "cut": "Eye protection on when cutting.",
    "solder": "Hot iron; draw the fumes off; wash hands after leaded solder.",
    "shrink": "Heat gun: keep it off skin, fuel and sleeves that are done.",
    "try": "Disconnect the battery before the loom is tried in place.",
}


def panels(
    design: Design, parts: Parts, plan: WorkPlan, states: States, open_first_offs: Collection[str]
) -> list[Panel]:
    """Every panel of one unit, in the order of the bench.

    A crimp whose first-offs have not passed says so.
    """
    found = [_other_panel(plan, cable, states) for cable in plan.cables]
    for work in plan.wires:
        for end, made in zip(work.ends, work.wire.ends, strict=True):
            terminal = part(parts, made.made.terminal_part_uid)
            csa_mm2 = work.wire.link.csa_mm2
            early = terminal and csa_mm2 and group_name(terminal, csa_mm2) in open_first_offs
            panel = _end_panel(design, plan, work, end, states)
            found.append(_warned(panel) if early else panel)
    return [*found, *(_other_panel(plan, other, states) for other in plan.others)]


def _warned(panel: Panel) -> Panel:
    steps = tuple(
        replace(step, detail=f"{step.detail} · first-offs have not passed yet")
        if step.uid.endswith((":crimp", ":made")) and step.state != "done"
        else step
        for step in panel.steps
    )
    return replace(panel, steps=steps)


def key_of_step(plan: WorkPlan, step_uid: str) -> str | None:
    """The panel that shows a step."""
    for work in plan.wires:
        for end in work.ends:
            steps = (*work.whole, *end.steps, *_last_steps(work, end))
            if any(step.uid == step_uid for step in steps):
                return end.uid
    for other in (*plan.cables, *plan.others):
        if any(step.uid == step_uid for step in other.steps):
            return other.uid
    return None


def _end_panel(
    design: Design, plan: WorkPlan, work: WireWork, end: EndWork, states: States
) -> Panel:
    link = work.wire.link
    size = "" if link.csa_mm2 is None else f" · {section(link.csa_mm2)}"
    words = {uid: now.state for uid, now in states.items()}
    steps = (*work.whole, *end.steps, *_last_steps(work, end))
    return Panel(
        key=end.uid,
        title=f"Wire {work.number}",
        side=f"{end.side} end",
        svg=draw(design, work, end_states(work, words), 752, 60),
        left_words=work.left.to,
        right_words=work.right.to,
        code=f"{wire_colours.letters(design, link)}{size}",
        steps=_rows(plan, steps, states),
        in_order=_in_order(plan, steps, states),
        caution=_caution(steps),
    )


def _last_steps(work: WireWork, end: EndWork) -> tuple[Step, ...]:
    """What follows both ends stands with the right one, which is made last."""
    return work.last if end is work.right else ()


def _other_panel(plan: WorkPlan, other: OtherWork, states: States) -> Panel:
    return Panel(
        key=other.uid,
        title=other.name,
        side="",
        svg=Markup(""),
        left_words="",
        right_words="",
        code="",
        steps=_rows(plan, other.steps, states),
        in_order=_in_order(plan, other.steps, states),
        caution=_caution(other.steps),
    )


def _in_order(plan: WorkPlan, steps: tuple[Step, ...], states: States) -> bool:
    """False where the first open step waits for work on another panel."""
    words = {uid: now.state for uid, now in states.items()}
    first = next((step for step in steps if words.get(step.uid) not in FINISHED), None)
    return first is None or not waits_for(plan, first, words)


def _rows(plan: WorkPlan, steps: tuple[Step, ...], states: States) -> tuple[StepRow, ...]:
    words = {uid: now.state for uid, now in states.items()}
    return tuple(_row(plan, step, states.get(step.uid), words) for step in steps)


def _row(plan: WorkPlan, step: Step, now: StepState | None, words: dict[str, str]) -> StepRow:
    state, when, order = "todo", "", None
    if now is not None and now.state in FINISHED:
        state, order = "done", now.tick_id
        when = f"done {clock(now.at)} {now.person}"
        if now.state == "waived":
            when = f"left out: {now.note} ({now.person})"
    elif now is not None and now.state == "held":
        state, when = "held", f"on hold: {now.note} ({now.person})"
    elif missing := waits_for(plan, step, words):
        state = "wait"
        if missing[0].uid.rsplit(":", 1)[0] != step.uid.rsplit(":", 1)[0]:
            when = f"after {plan.place_of[missing[0].uid]}: {missing[0].title}"
    if now is not None and now.state == "superseded":
        when = " · ".join(filter(None, (f"again: {now.note}", when)))
    return StepRow(step.uid, step.title, step.detail, state, when, order)


def _caution(steps: tuple[Step, ...]) -> str:
    return " ".join(
        words for operation, words in CAUTIONS.items()
        if any(step.operation == operation for step in steps)
    )  # fmt: skip
