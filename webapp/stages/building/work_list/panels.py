"""A work list as plain values: panels of rows, each row one step with what it is done to."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from webapp.stages.building.steps import EndWork, OtherWork, Step, WireWork, WorkPlan
from webapp.stages.design.wires import End

# What a hand can find again in one list.
MOST_ROWS = 40


@dataclass(frozen=True)
class Task:
    """A step with what it is done to: a wire, one of its ends, or a cable, splice, plug or run.

    `end` is the work at the end, `at` the end of the design.
    """

    step: Step
    wire: WireWork | None = None
    end: EndWork | None = None
    at: End | None = None
    other: OtherWork | None = None

    @property
    def uid(self) -> str:
        return self.step.uid

    @property
    def piece(self) -> str:
        """What is held in the hand: rows of one piece stay together."""
        if self.end:
            return self.end.uid
        owner = self.wire or self.other
        return owner.uid if owner else ""

    @property
    def cut_uid(self) -> str:
        """The step that cuts what this step is done to: what is scrapped is cut again there."""
        if self.wire and self.wire.cut_with:
            return self.wire.cut_with[0]
        steps = self.wire.whole if self.wire else self.other.steps if self.other else ()
        return next((step.uid for step in steps if step.operation == "cut"), "")


@dataclass(frozen=True)
class Row:
    """One step on a panel; `head` names its kind, and stands above the first of it."""

    task: Task
    head: str = ""


@dataclass(frozen=True)
class Panel:
    """Rows that are done together. `setup` is the crimp set-up that all of them need.

    `wire` is what the panel is about where it is one wire end; `plug_uid` the half that all of
    its rows go into. A list that is too long is divided: `number` of `count`.
    """

    key: str
    title: str
    side: str
    rows: tuple[Row, ...]
    setup: str = ""
    wire: WireWork | None = None
    plug_uid: str | None = None
    number: int = 1
    count: int = 1

    @property
    def of(self) -> str:
        """2 of 3; nothing where it is not divided."""
        return f"{self.number} of {self.count}" if self.count > 1 else ""

    @property
    def name(self) -> str:
        return ", ".join(filter(None, (self.title, self.side, self.of)))


def tasks(plan: WorkPlan) -> dict[str, Task]:
    """Every step of the plan by its uid, work by work."""
    found: dict[str, Task] = {}
    cut_alone = {f"{work.uid}:cut": work for work in plan.wires if work.cut_with}
    for cable in plan.cables:
        for step in cable.steps:
            # The wires of a twisted pair are cut one by one.
            found[step.uid] = Task(step, wire=cut_alone.get(step.uid), other=cable)
    for work in plan.wires:
        found |= {task.uid: task for task in wire_tasks(work)}
    for other in plan.others:
        found |= {step.uid: Task(step, other=other) for step in other.steps}
    return found


def wire_tasks(work: WireWork) -> Iterator[Task]:
    """The steps of one wire in order."""
    yield from (Task(step, wire=work) for step in work.whole)
    for end, at in zip(work.ends, work.wire.ends, strict=True):
        yield from end_tasks(work, end, at)
    yield from (Task(step, wire=work) for step in work.last)


def end_tasks(work: WireWork, end: EndWork, at: End) -> Iterator[Task]:
    yield from (Task(step, work, end, at) for step in end.steps)


def divided(panel: Panel) -> list[Panel]:
    """The panel, or several of at most MOST_ROWS rows; the rows of one piece stay together."""
    parts = _fitted(_pieces(panel.rows))
    if len(parts) < 2:
        return [panel]
    return [
        replace(
            panel,
            key=panel.key if number == 1 else f"{panel.key}/{number}",
            rows=tuple(rows),
            number=number,
            count=len(parts),
        )
        for number, rows in enumerate(parts, 1)
    ]


def _pieces(rows: Sequence[Row]) -> list[list[Row]]:
    found: list[list[Row]] = []
    for row in rows:
        if found and found[-1][0].task.piece == row.task.piece and len(found[-1]) < MOST_ROWS:
            found[-1].append(row)
        else:
            found.append([row])
    return found


def _fitted(pieces: list[list[Row]]) -> list[list[Row]]:
    total = sum(map(len, pieces))
    count = -(-total // MOST_ROWS)
    # Even parts: 44 rows are two of 22, not one of 40 and a rest of 4.
    wanted = -(-total // count) if count else 0
    found: list[list[Row]] = []
    for piece in pieces:
        if found and len(found[-1]) < wanted and len(found[-1]) + len(piece) <= MOST_ROWS:
            found[-1] += piece
        else:
            found.append(list(piece))
    return found
