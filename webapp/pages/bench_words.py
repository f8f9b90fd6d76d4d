"""What a row of the bench list says: what the hands need for its step, in words."""

from collections.abc import Sequence

from webapp.convention import now
from webapp.stages.building.steps import Ask, Step
from webapp.stages.building.tick_rules import limit_words
from webapp.stages.building.work_list.hands import Hands, strip_words
from webapp.stages.building.work_list.panels import Task
from webapp.stages.testing.first_off import CrimpLimit

NOT_CONFIRMED = "unconfirmed"
NO_BREAK = "\u00a0"
SHORT = 34
NAMES = {"height": "Crimp height", "pull": "Pull force"}


def detail(task: Task, hands: Hands | None, said: str = "") -> str:
    """The step's own words, or, where the hands need more, all of it.

    `said` stands above the row already and is not said again.
    """
    step = task.step
    if hands is None:
        return step.detail
    made = WORDS.get(step.operation)
    words = made(step, hands) if made else [step.detail]
    if step.operation == "insert" and hands.goal and hands.goal.half and hands.goal.fitting in said:
        # The way stands large beside it.
        return step.detail.partition("; ")[2]
    return " · ".join(_unbroken(each) for each in words if each and each not in said)


def splice(step: Step, ends: Sequence[Hands], soldered: bool, alone: bool) -> str:
    """Of the steps that join wires; `alone`: the one of the short depth, which shows all."""
    if step.operation == "shrink":
        sizes = [at.sleeve.size for at in ends if at.sleeve]
        words = [*dict.fromkeys(sizes), step.detail]
    elif alone:
        words = [step.detail, "solder" if soldered else "no solder", *map(_sleeve, ends)]
    else:
        words = [step.detail]
    return " · ".join(_unbroken(each) for each in dict.fromkeys(words) if each)


def _unbroken(words: str) -> str:
    """A short fact stays on one line: nobody reads a figure here and its unit there."""
    return words if len(words) > SHORT else words.replace(" ", NO_BREAK)


def _cut(step: Step, hands: Hands) -> list[str]:
    return [step.detail, hands.cable]


def _strip(step: Step, hands: Hands) -> list[str]:
    """Its title is in millimetres, as the terminal's maker gives it."""
    inches = strip_words(hands.strip_mm) if hands.strip_mm and now().inches else ""
    return [inches, step.detail]


def _crimp(_step: Step, hands: Hands) -> list[str]:
    return [_terminal(hands), _height(hands), hands.tool, "with its seal" if hands.seal else ""]


def _shrink(step: Step, hands: Hands) -> list[str]:
    return [hands.sleeve.size if hands.sleeve else "", step.detail]


def _make(step: Step, hands: Hands) -> list[str]:
    """The one row of the short depth shows all."""
    if not hands.terminal and hands.strip_mm is None:
        return [step.detail]
    return [
        f"strip {strip_words(hands.strip_mm)}" if hands.strip_mm is not None else "",
        _terminal(hands),
        *([_height(hands), hands.tool] if hands.crimped else []),
        "boot" if hands.boot else "",
        "seal" if hands.seal else "",
        _solder(hands),
        _sleeve(hands),
        f"tag “{hands.tag}”",
        goal(hands),
    ]


def _terminal(hands: Hands) -> str:
    return hands.terminal


def _height(hands: Hands) -> str:
    """height 1.55 ± 0.05 mm; without the maker's height the tool's die decides."""
    if hands.height is None or hands.height.low is None or hands.height.high is None:
        return "height by the die"
    middle = (hands.height.low + hands.height.high) / 2
    tolerance = (hands.height.high - hands.height.low) / 2
    words = f"height {now().number(middle, 2)} ± {now().number(tolerance, 2)} mm"
    return words + _doubt(hands.height)


def _doubt(limit: CrimpLimit) -> str:
    return "" if limit.confirmed else f" ({NOT_CONFIRMED})"


def _solder(hands: Hands) -> str:
    if hands.soldered:
        return "crimp, then solder" if hands.crimped else "solder"
    return "no solder" if hands.terminal else ""


def _sleeve(hands: Hands) -> str:
    if hands.sleeve is None:
        return ""
    cut = "" if hands.sleeve.cut_mm is None else f", cut {hands.sleeve.cut_mm} mm"
    return f"shrink {hands.sleeve.size}{cut}"


def goal(hands: Hands) -> str:
    """Engine plug, way 3."""
    if hands.goal is None:
        return ""
    return f"{hands.goal.fitting}, way {hands.goal.way}" if hands.goal.half else ""


WORDS = {"strip": _strip, "crimp": _crimp, "make": _make, "shrink": _shrink, "cut": _cut}


def asks(step: Step) -> str:
    """What a step asks to measure, for the script: height:1.5:1.6:mm: pull:220::N:unconfirmed."""
    return " ".join(
        f"{ask.kind}:{_bound(ask.low)}:{_bound(ask.high)}:{ask.unit}:"
        f"{'' if ask.confirmed else NOT_CONFIRMED}"
        for ask in step.asks
    )


def _bound(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def ask_words(ask: Ask) -> str:
    """Crimp height (1.50 to 1.60 mm)."""
    doubt = f", {NOT_CONFIRMED}" if limit_words(ask) and not ask.confirmed else ""
    return f"{NAMES[ask.kind]}{limit_words(ask) or f', {ask.unit}'}{doubt}"
