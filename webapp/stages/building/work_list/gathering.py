"""Panels that gather wire ends: at a plug or at a place. Each step stands in one of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.stages.building.steps import EndWork, OtherWork, WireWork, WorkPlan
from webapp.stages.building.work_list.panels import Panel, Row, Task, end_tasks
from webapp.stages.design.wires import End


@dataclass(frozen=True)
class MetEnd:
    work: WireWork
    end: EndWork
    at: End


@dataclass(frozen=True)
class Gathering:
    """The ends that come together somewhere, and what is done there once they are made."""

    key: str
    title: str
    side: str
    ends: Sequence[MetEnd]
    others: Sequence[OtherWork] = ()
    plug_uid: str | None = None


def every_end(plan: WorkPlan) -> Iterable[MetEnd]:
    for work in plan.wires:
        for end, at in zip(work.ends, work.wire.ends, strict=True):
            yield MetEnd(work, end, at)


def gathered(plan: WorkPlan, gatherings: Sequence[Gathering]) -> list[Panel]:
    """A panel for the cables, one for each gathering, and one for what is left: the runs.

    A wire is cut where its first end comes up, and what follows both ends where the second does.
    """
    met: set[str] = set()
    found = [_others("cables", "Cables and pairs", plan.cables)]
    given: set[str] = set()
    for one in gatherings:
        rows = [row for end in one.ends for row in _rows(end, met)]
        rows += [row for other in one.others for row in _other_rows(other)]
        given |= {other.uid for other in one.others}
        found.append(Panel(one.key, one.title, one.side, tuple(rows), plug_uid=one.plug_uid))
    left = [other for other in plan.others if other.uid not in given]
    found.append(_others("runs", "Runs", left))
    return [panel for panel in found if panel.rows]


def _rows(met_end: MetEnd, met: set[str]) -> Iterable[Row]:
    work = met_end.work
    second = work.uid in met
    met.add(work.uid)
    if not second:
        yield from (Row(Task(step, wire=work)) for step in work.whole)
    yield from (Row(task) for task in end_tasks(work, met_end.end, met_end.at))
    if second:
        yield from (Row(Task(step, wire=work)) for step in work.last)


def _others(key: str, title: str, others: Iterable[OtherWork]) -> Panel:
    return Panel(key, title, "", tuple(row for other in others for row in _other_rows(other)))


def _other_rows(other: OtherWork) -> list[Row]:
    return [Row(Task(step, other=other), other.name) for step in other.steps]
