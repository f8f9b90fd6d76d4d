"""What an entry of the bench journal may say of a work step, and how each is put in words.

Finished steps let others follow. All else is open: never ticked, on hold, or finished once and open
again - taken back, to be made again, to be cut again.
"""

from webapp.records.bench import TICK_STATES

FINISHED = ("done", "waived")
# Superseded is stated by the app alone, when a unit goes to another revision.
STATED = tuple(state for state in TICK_STATES if state != "superseded")
# What was finished and is open again: nothing is left of it that could be undone.
TAKEN_BACK = ("undone", "superseded", "rework", "scrapped")
# These open a step again, and all that rests on it with it.
OPENS = ("undone", "rework", "scrapped")
WANT_A_NOTE = {
    "held": "Say why it is held.",
    "waived": "Say why it may be left out.",
    "rework": "Say why it has to be made again.",
    "scrapped": "Say why it is scrapped.",
}
WORDS = {
    "done": "done",
    "undone": "undone",
    "held": "on hold",
    "waived": "left out",
    "superseded": "superseded",
    "rework": "to be made again",
    "scrapped": "scrapped, to be cut again",
}
# What is said of an open step on the step itself.
MARKED = {"held": "on hold", "rework": "make again", "scrapped": "cut again"}


def mark(state: str, note: str) -> str:
    """What stands on an open step: "make again: the tug failed"; nothing on one that is just
    open."""
    return f"{MARKED[state]}: {note}" if state in MARKED else ""
