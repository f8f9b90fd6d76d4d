"""Which terminal takes a wire end."""

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.sizing.reasons import Reason, Result, SizingError, choice, current, number
from webapp.sizing.tables.terminations import RING_HOLES, RING_HOLES_MM

STUDS = tuple(RING_HOLES_MM)


class CannotFit(SizingError):
    """No part on offer will do; the message says why."""


@dataclass(frozen=True)
class TerminalFacts:
    """What a terminal takes, as its maker or its standard says.

    `contact` is what it mates with: `tab 6.3`, `stud M8`, a cavity of a plug by name. None for the
    insulation limits means that the terminal does not hold the insulation, for those of the seal
    that it has none.
    """

    uid: str
    contact: str
    csa_min_mm2: float
    csa_max_mm2: float
    strip_mm: float
    current_a: float
    insulation_min_mm: float | None = None
    insulation_max_mm: float | None = None
    crimped: bool = True
    soldered: bool = False
    seal_min_mm: float | None = None
    seal_max_mm: float | None = None


@dataclass(frozen=True)
class TerminalChoice:
    """The terminal taken, and why."""

    terminal: TerminalFacts
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class FitProblem:
    """What is wrong with a wire end in a terminal. `of`: one of `FIT_PROBLEMS`."""

    of: str
    sentence: str


FIT_PROBLEMS = ("conductor", "insulation", "seal", "current")


def terminal_problems(
    terminal: TerminalFacts, *, csa_mm2: float, outside_diameter_mm: float, current_a: float
) -> tuple[FitProblem, ...]:
    """What is wrong with a wire end in a terminal, by what it concerns.

    Args:
        terminal: What it takes.
        csa_mm2: Section of the conductor; for two wires in one terminal their sum. [mm²]
        outside_diameter_mm: Over the insulation. [mm]
        current_a: Lasting current. [A]

    Returns:
        Problems with plain sentences; none when it fits.

    Raises:
        SizingError: a value out of range.

    Source: the terminal's own limits; sections of several wires in one contact are added
    (NASA-STD-8739.4 par 19.11).
    """
    csa = number(csa_mm2, "csa_mm2", above_low=True, unit="mm²")
    outside = number(outside_diameter_mm, "outside_diameter_mm", above_low=True, unit="mm")
    load = current(current_a)
    problems = []
    if not terminal.csa_min_mm2 <= csa <= terminal.csa_max_mm2:
        thin = "thin" if csa < terminal.csa_min_mm2 else "thick"
        problems.append(
            FitProblem(
                "conductor",
                f"{csa:g} mm² is too {thin} for this terminal, which takes "
                f"{terminal.csa_min_mm2:g} to {terminal.csa_max_mm2:g} mm².",
            )
        )
    problems += [FitProblem("insulation", said) for said in _insulation_problems(terminal, outside)]
    problems += [FitProblem("seal", said) for said in _seal_problems(terminal, outside)]
    if load > terminal.current_a:
        problems.append(
            FitProblem(
                "current", f"{load:.3g} A is more than the terminal's {terminal.current_a:g} A."
            )
        )
    return tuple(problems)


def terminal_fit(
    terminal: TerminalFacts, *, csa_mm2: float, outside_diameter_mm: float, current_a: float
) -> tuple[str, ...]:
    """The sentences of `terminal_problems`, whose arguments, errors and source these are.

    Returns:
        Plain sentences; none when it fits.
    """
    return tuple(
        problem.sentence
        for problem in terminal_problems(
            terminal,
            csa_mm2=csa_mm2,
            outside_diameter_mm=outside_diameter_mm,
            current_a=current_a,
        )
    )


def _insulation_problems(terminal: TerminalFacts, outside_mm: float) -> list[str]:
    low, high = terminal.insulation_min_mm, terminal.insulation_max_mm
    if low is not None and outside_mm < low:
        return [
            f"The insulation, {outside_mm:g} mm, is too thin to be held: at least {low:g} mm is."
        ]
    if high is not None and outside_mm > high:
        return [
            f"The insulation, {outside_mm:g} mm, will not go into this terminal: at most "
            f"{high:g} mm will."
        ]
    return []


def _seal_problems(terminal: TerminalFacts, outside_mm: float) -> list[str]:
    low, high = terminal.seal_min_mm, terminal.seal_max_mm
    if low is not None and outside_mm < low:
        return [f"Its seal grips from {low:g} mm; the insulation, {outside_mm:g} mm, is thinner."]
    if high is not None and outside_mm > high:
        return [f"Its seal takes up to {high:g} mm; the insulation, {outside_mm:g} mm, is thicker."]
    return []


def choose_terminal(
    candidates: Iterable[TerminalFacts],
    *,
    contact: str,
    csa_mm2: float,
    outside_diameter_mm: float,
    current_a: float,
) -> TerminalChoice:
    """The smallest terminal for a contact that takes the wire end.

    Args:
        candidates: What is on offer.
        contact: What it must mate with.
        csa_mm2, outside_diameter_mm, current_a: as for `terminal_fit`.

    Returns:
        The terminal with the least conductor range, then the least current, then by uid.

    Raises:
        CannotFit: none for that contact, or none that fits; the message gives the nearest's
            problem.
        SizingError: a value out of range.

    Source: `terminal_fit`.
    """
    mating = sorted(
        (each for each in candidates if each.contact == contact),
        key=lambda each: (each.csa_max_mm2, each.current_a, each.uid),
    )
    if not mating:
        raise CannotFit("contact", f"There is no terminal for {contact}.")
    problems = {
        each.uid: terminal_fit(
            each, csa_mm2=csa_mm2, outside_diameter_mm=outside_diameter_mm, current_a=current_a
        )
        for each in mating
    }
    for each in mating:
        if not problems[each.uid]:
            return TerminalChoice(each, (_chosen(each, csa_mm2),))
    nearest = min(mating, key=lambda each: len(problems[each.uid]))
    raise CannotFit(
        "contact",
        f"No terminal for {contact} will do. The nearest: {' '.join(problems[nearest.uid])}",
    )


def ring_hole_mm(stud: str) -> Result:
    """Hole of a ring terminal for a stud.

    Args:
        stud: One of `STUDS`, as `M8`.

    Returns:
        Diameter. [mm]

    Raises:
        SizingError: a stud that the table does not hold.

    Source: DIN 46234 / 46237, from memory.
    """
    hole_mm = RING_HOLES_MM[choice(stud, "stud", STUDS)]
    reason = Reason(
        text=f"A ring for an {stud} stud has a {hole_mm:g} mm hole.",
        name="ring_hole_mm",
        value=hole_mm,
        unit="mm",
        source=RING_HOLES.text,
        confirmed=RING_HOLES.confirmed,
    )
    return Result(hole_mm, (reason,))


def _chosen(terminal: TerminalFacts, csa_mm2: float) -> Reason:
    return Reason(
        text=f"The smallest terminal for {terminal.contact} that takes {csa_mm2:g} mm², its "
        "insulation and its current.",
        name="csa_max_mm2",
        value=terminal.csa_max_mm2,
        unit="mm²",
        source="the terminal's own limits",
        inputs={"csa_mm2": csa_mm2},
    )
