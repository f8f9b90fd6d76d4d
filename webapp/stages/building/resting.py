"""What rests on a step: all that has to be made anew when it is opened again. Pure."""

from collections.abc import Iterable

from webapp.stages.building.steps import WorkPlan

# Where these are done, a wire lies in its place.
LAYING = ("pass", "bind")


def made_anew_with(plan: WorkPlan, starts: Iterable[str]) -> set[str]:
    """The uids of these steps and of all that has to be made anew with them.

    A wire that is laid anew takes the binding of the runs that it lies in with it, and a binding
    takes the covering that is over it. While only an end is remade, both can stay.
    """
    anew = plan.made_anew_with(starts)
    laid = {
        work.uid
        for work in plan.wires
        if anew.intersection((*(step.uid for step in work.whole), *work.cut_with))
    }
    opened = {
        step.uid
        for step in plan
        if step.operation in LAYING and any(plan.work_of.get(uid) in laid for uid in step.after)
    }
    anew |= plan.made_anew_with(opened)
    binds = {uid for uid in anew if plan.by_uid[uid].operation == "bind"}
    covers = {f"{uid.removesuffix(':bind')}:cover" for uid in binds}
    return anew | (covers & plan.by_uid.keys())
