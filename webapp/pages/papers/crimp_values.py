"""Crimp set-ups as papers state them: tool, die and lots with what they were measured by."""

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy.orm import Session

from webapp.pages.wording import day_and_clock
from webapp.paper.values import CrimpSetUp
from webapp.stages import catalogue
from webapp.stages.building.crimp_setups import Sample
from webapp.stages.building.crimp_standing import Group, Used, groups
from webapp.stages.building.units import UnitRow
from webapp.stages.testing.first_off import FIRST, crimp_items
from webapp.stages.testing.items import Item
from webapp.stages.testing.readings import UNCONFIRMED

LAST = {
    "unused": "",
    "open": "not yet: the batch goes on",
    "passed": "passed",
    "waived": "held by name",
}


def of_test_sheet(session: Session, unit: UnitRow) -> tuple[CrimpSetUp, ...]:
    """What the unit is crimped with, and what it will be: a blank where nothing is set up."""
    found: list[CrimpSetUp] = []
    parts = catalogue.read(session).parts
    for group in groups(session, unit):
        used = [one for one in group.used if one.by(unit.serial)]
        if group.now and group.now not in used and not _finished(group, unit):
            used.append(group.now)
        rows = [_set_up(group, one, unit) for one in used] or [CrimpSetUp(group.name)]
        limits = _limits(crimp_items(parts, group.key, FIRST))
        found += [replace(row, limits=limits) for row in rows]
    return tuple(found)


def _limits(items: Sequence[Item]) -> str:
    """1.5 to 1.6 mm; at least 133.4 N (unconfirmed)"""
    words = (
        f"{item.limit_text()}{'' if item.confirmed else ' (unconfirmed)'}"
        for item in items
        if item.uid.endswith(":1")
    )
    return "; ".join(words)


def _finished(group: Group, unit: UnitRow) -> bool:
    made, total = group.counts(unit.id)
    return made == total


def of_certificate(session: Session, unit: UnitRow) -> tuple[CrimpSetUp, ...]:
    """What the unit was crimped with; the samples stand among the tests."""
    return tuple(
        _set_up(group, used, unit)
        for group in groups(session, unit)
        for used in group.used
        if used.by(unit.serial)
    )


def _set_up(group: Group, used: Used, unit: UnitRow) -> CrimpSetUp:
    setup = used.setup
    return CrimpSetUp(
        what=group.name,
        tool=setup.named,
        lots=setup.lots,
        who=f"{setup.person}, {day_and_clock(setup.at)}",
        crimps=len(used.crimps.get(unit.serial, ())),
        heights=_values(setup.first.taken, "height"),
        pulls=_values(setup.first.taken, "pull"),
        last=_last(used),
    )


def _values(samples: Sequence[Sample], kind: str) -> str:
    found = [one for one in samples if one.kind == kind]
    return ", ".join(f"{one.reading}{'' if one.passed else ' FAILED'}" for one in found)


def _last(used: Used) -> str:
    """A limit that nobody has seen in print says nothing on paper."""
    if used.word == "failed":
        when = max(one.at for one in used.setup.last.taken if not one.passed)
        return f"FAILED {day_and_clock(when)}"
    unseen = any(one.limit_text.endswith(UNCONFIRMED) for one in used.last.taken)
    return "measured" if used.word == "passed" and unseen else LAST[used.word]
