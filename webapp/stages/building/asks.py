"""What a crimp asks to be measured on the joint itself, from its terminal's fact measure_each."""

from webapp.stages.building.crimp_groups import group_of_key
from webapp.stages.building.parts import Parts
from webapp.stages.building.steps import Ask
from webapp.stages.testing.first_off import CrimpLimit, crimp_limits


def asks_of(parts: Parts, group: str) -> tuple[Ask, ...]:
    """The values that each crimp of a group asks for, within the limits of its first-offs."""
    if not group:
        return ()
    terminal_uid, csa_mm2 = group_of_key(group)
    terminal = parts[terminal_uid]
    limits = crimp_limits(terminal, csa_mm2)
    wanted = terminal.text("measure_each").split()
    return tuple(_ask(limit) for limit in (limits.height, limits.pull) if limit.kind in wanted)


def _ask(limit: CrimpLimit) -> Ask:
    return Ask(limit.kind, limit.low, limit.high, limit.unit, limit.confirmed)
