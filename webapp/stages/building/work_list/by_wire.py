"""Wire by wire: one end at a time, as a single wire is made from its cut to its plug."""

from webapp.stages.building.parts import Parts
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.work_list.panels import Panel, Row, Task, end_tasks
from webapp.stages.design.rows import Design


def by_wire(_design: Design, _parts: Parts, plan: WorkPlan) -> list[Panel]:
    """Cables and pairs, each end of each wire, then splices, plugs and runs.

    What is done to the whole wire first stands at its left end, what comes last at its right one.
    """
    found = [
        Panel(cable.uid, cable.name, "", tuple(Row(Task(s, other=cable)) for s in cable.steps))
        for cable in plan.cables
    ]
    for work in plan.wires:
        for end, at in zip(work.ends, work.wire.ends, strict=True):
            whole = work.whole if end is work.left else ()
            last = work.last if end is work.right else ()
            rows = [
                *(Row(Task(step, wire=work)) for step in whole),
                *(Row(task) for task in end_tasks(work, end, at)),
                *(Row(Task(step, wire=work)) for step in last),
            ]
            found.append(
                Panel(end.uid, f"Wire {work.number}", f"{end.side} end", tuple(rows), wire=work)
            )
    found += [
        Panel(other.uid, other.name, "", tuple(Row(Task(s, other=other)) for s in other.steps))
        for other in plan.others
    ]
    return [panel for panel in found if panel.rows]
