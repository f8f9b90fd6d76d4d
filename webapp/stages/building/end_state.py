"""How far the ends of a wire are made, in the words that the drawings know too."""

from collections.abc import Mapping

from webapp.stages.building.steps import EndWork, Step, WireWork
from webapp.stages.building.tick_states import FINISHED

NOT_CUT, CUT, MADE = "not cut yet", "cut", "made"
AFTER = {"strip": "stripped", "crimp": "crimped", "solder": "soldered"}


def end_states(work: WireWork, states: Mapping[str, str]) -> tuple[str, str]:
    """The words for the left and the right end. `states` holds the state of each ticked step."""
    cut = (*(step.uid for step in work.whole), *work.cut_with)
    if not all(states.get(uid) == "done" for uid in cut):
        return NOT_CUT, NOT_CUT
    inserted = bool(work.last) and all(states.get(step.uid) == "done" for step in work.last)
    left, right = (_end_state(end, states, inserted) for end in work.ends)
    return left, right


def _end_state(end: EndWork, states: Mapping[str, str], inserted: bool) -> str:
    done = {step.operation for step in end.steps if states.get(step.uid) == "done"}
    if end.loose:
        return "left loose" if done else CUT
    if end.joined_by and states.get(end.joined_by) == "done":
        return "spliced"
    if end.in_plug and (inserted or "insert" in done):
        return "in its plug"
    making = [step for step in end.steps if step.operation != "insert"]
    if not end.joined_by and making and all(_finished(step, states) for step in making):
        return MADE
    reached = [word for operation, word in AFTER.items() if operation in done]
    return reached[-1] if reached else CUT


def _finished(step: Step, states: Mapping[str, str]) -> bool:
    # A joint that was waived is not there, and is not drawn.
    wanted = ("done",) if step.operation in AFTER else FINISHED
    return states.get(step.uid) in wanted
