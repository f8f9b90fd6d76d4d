"""What may be stated of a work step, and when: the refusals of the bench, each in a sentence."""

import math
import unicodedata

from webapp.convention import now
from webapp.stages import catalogue
from webapp.stages.building.at_bench import AtBench
from webapp.stages.building.bench import Entry, waits_for
from webapp.stages.building.crimp_groups import group_name, group_of_key
from webapp.stages.building.resting import made_anew_with
from webapp.stages.building.steps import Ask, Step
from webapp.stages.building.tick_states import FINISHED, STATED, WANT_A_NOTE
from webapp.stages.refusals import Refused

LONGEST_NOTE, LONGEST_KEY = 500, 64
_VERBS = {"rework": "make again", "scrapped": "scrap"}
MEASURED = {"height": "crimp height", "pull": "pull force"}


def check_key(key: str) -> None:
    """
    Raises:
        Refused: the key cannot tell this entry from another.
    """
    # A stroke stands only in keys that the app itself makes.
    if not (8 <= len(key) <= LONGEST_KEY and key.isascii() and "/" not in key):
        raise Refused("key", "This entry has no key of its own, so it cannot be told from another.")


def check_entry(bench: AtBench, entry: Entry) -> None:
    """What an entry must be by itself, however the step stands.

    Raises:
        Refused: it is not.
    """
    note = entry.note.strip()
    if entry.state not in STATED:
        raise Refused("state", "An entry says done, undone, held, waived, rework or scrapped.")
    if entry.person_id not in bench.people:
        raise Refused("person", "Choose who is at the bench.")
    if any(unicodedata.category(c) in {"Cc", "Cs"} and c not in "\n\t" for c in note):
        raise Refused("note", "The note has a character that cannot be kept: type it again.")
    if len(note) > LONGEST_NOTE:
        raise Refused("note", f"The note has {len(note)} characters; {LONGEST_NOTE} fit.")
    if bench.stage != "build":
        raise Refused(
            "", f"Unit {bench.unit.serial} is at {bench.stage}: send it back to build first."
        )
    if entry.revision_id not in (None, bench.unit.revision_id):
        raise Refused(
            "", "The unit went to another revision meanwhile: look at the step again and repeat."
        )
    if entry.step_uid not in bench.plan.by_uid:
        raise Refused("step", "This step is not part of the unit's revision and depth.")
    if entry.state in WANT_A_NOTE and not note:
        raise Refused("note", WANT_A_NOTE[entry.state])
    for kind, value in measured(entry).items():
        if value is not None and not (math.isfinite(value) and 0 < value < 1e5):
            raise Refused(kind, f"The {MEASURED[kind]} must be a number above 0.")


def measured(entry: Entry) -> dict[str, float | None]:
    return {"height": entry.height_mm, "pull": entry.pull_n}


def check_order(bench: AtBench, entry: Entry) -> None:
    """Whether the step may be stated so, as it and the others stand now.

    Raises:
        Refused: it may not.
    """
    step = bench.plan.by_uid[entry.step_uid]
    if entry.state in ("rework", "scrapped"):
        _check_opened_again(bench, step, entry.state)
    elif entry.note.strip():
        return  # It overrides the order, and stays in the journal as the reason.
    elif entry.state == "done":
        _check_waits(bench, step)
        _check_set_up(bench, step)
        _check_measured(bench, step, entry)
    elif entry.state == "undone":
        _check_nothing_rests(bench, step)


def _check_opened_again(bench: AtBench, step: Step, state: str) -> None:
    where = bench.plan.place_of[step.uid]
    if state == "scrapped" and step.operation != "cut":
        raise Refused(
            "state", f"{where}: only what is cut is scrapped and cut again, not “{step.title}”."
        )
    if bench.states.get(step.uid) != "done":
        raise Refused(
            "state", f"{where}: “{step.title}” is not done, so there is nothing to {_VERBS[state]}."
        )


def _check_waits(bench: AtBench, step: Step) -> None:
    if missing := waits_for(bench.plan, step, bench.states):
        named = f"“{missing[0].title}” ({bench.plan.place_of[missing[0].uid]})"
        more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
        where = bench.plan.place_of[step.uid]
        raise Refused(
            "", f"{where}: “{step.title}” comes after {named}{more}. Tick that first, or say why."
        )


def _check_set_up(bench: AtBench, step: Step) -> None:
    if step.setup and step.setup not in bench.ready_groups:
        terminal_uid, csa_mm2 = group_of_key(step.setup)
        name = group_name(catalogue.read(bench.session).parts[terminal_uid], csa_mm2)
        raise Refused(
            "setup", f"First a crimp set-up for {name}: tool, die, lots and three first-offs."
        )


def _check_measured(bench: AtBench, step: Step, entry: Entry) -> None:
    where = bench.plan.place_of[step.uid]
    values = measured(entry)
    for ask in step.asks:
        value = values[ask.kind]
        if value is None:
            raise Refused(
                ask.kind,
                f"{where}: measure the {MEASURED[ask.kind]}{limit_words(ask)}, or say why not.",
            )
        if not within(ask, value):
            raise Refused(
                ask.kind,
                f"{where}: a {MEASURED[ask.kind]} of {_figure(ask, value)} is outside the limit"
                f"{limit_words(ask)}. Make it again, or say why it may stay.",
            )


def within(ask: Ask, value: float) -> bool:
    return (ask.low is None or value >= ask.low) and (ask.high is None or value <= ask.high)


def limit_words(ask: Ask) -> str:
    """(1.50 to 1.60 mm), (at least 75 N); nothing where there is no limit."""
    if ask.low is not None and ask.high is not None:
        return f" ({_figure(ask, ask.low, unit=False)} to {_figure(ask, ask.high)})"
    if ask.low is not None:
        return f" (at least {_figure(ask, ask.low)})"
    return "" if ask.high is None else f" (at most {_figure(ask, ask.high)})"


def _figure(ask: Ask, value: float, *, unit: bool = True) -> str:
    places = 2 if ask.unit == "mm" else int(value != round(value))
    return now().number(value, places) + (f" {ask.unit}" if unit else "")


def _check_nothing_rests(bench: AtBench, step: Step) -> None:
    if later := rest_on(bench, step):
        where = bench.plan.place_of[step.uid]
        raise Refused(
            "",
            f"{where}: “{later[-1].title}” is done and rests on “{step.title}”. "
            "Undo that first, or say why; then both are undone.",
        )


def rest_on(bench: AtBench, step: Step) -> list[Step]:
    """Finished steps that rest on this one and have to be made anew with it."""
    anew = made_anew_with(bench.plan, (step.uid,)) - {step.uid}
    states = bench.states
    return [
        later for later in bench.plan if later.uid in anew and states.get(later.uid) in FINISHED
    ]
