"""How the crimps of a loom stand with their set-ups: what was made with each, and whether the
crimps measured at the last bear it out.

After the last crimp of a set-up three more heights and pulls are measured. They are asked before a
set-up that was used is replaced, and before the last unit of a batch goes to test: a tool that
drifted shows there, and every crimp since its first-offs is then looked at.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.stages import catalogue
from webapp.stages.building import crimp_setups, crimped_with
from webapp.stages.building.crimp_groups import group_name, group_of_key
from webapp.stages.building.crimp_setups import Samples, SetUp
from webapp.stages.building.crimped_with import Crimp, UnitCrimps
from webapp.stages.building.units import UnitRow

MOST_NAMED = 12


@dataclass(frozen=True)
class Used:
    """A set-up with the crimps that were made with it and stand, by unit."""

    setup: SetUp
    crimps: Mapping[str, tuple[Crimp, ...]]

    @property
    def count(self) -> int:
        return sum(len(made) for made in self.crimps.values())

    @property
    def last(self) -> Samples:
        """What was measured at the last; what was measured before the last crimp is not."""
        times = [one.made_at for made in self.crimps.values() for one in made if one.made_at]
        return self.setup.last.since(max(times, default=None))

    @property
    def word(self) -> str:
        """unused, passed, failed, waived or open: the measurements at the last."""
        if not self.crimps:
            return "unused"
        if self.waived:
            return "waived"
        if self.last.failed:
            return "failed"
        return "passed" if self.last.all_passed else "open"

    @property
    def waived(self) -> bool:
        """A named person has said, since the last crimp and the last failure, why it holds."""
        waiver = self.setup.waiver
        if waiver is None:
            return False
        crimped = (one.made_at for made in self.crimps.values() for one in made if one.made_at)
        failed = (one.at for one in self.setup.last.taken if not one.passed)
        return all(waiver.at >= moment for moment in (*crimped, *failed))

    @property
    def places(self) -> str:
        """The crimps in words: unit 26-041-01 (Wire 1, left end)."""
        return "; ".join(f"unit {serial} ({_some(made)})" for serial, made in self.crimps.items())

    def by(self, serial: str) -> bool:
        return serial in self.crimps


def _some(crimps: Sequence[Crimp]) -> str:
    named = ", ".join(one.where for one in crimps[:MOST_NAMED])
    more = len(crimps) - MOST_NAMED
    return f"{named} and {more} more" if more > 0 else named


@dataclass(frozen=True)
class Group:
    """A terminal on a conductor over all units of a loom; the last of `used` holds."""

    key: str
    name: str
    units: tuple[UnitCrimps, ...]
    used: tuple[Used, ...]

    @property
    def now(self) -> Used | None:
        return self.used[-1] if self.used else None

    @property
    def ready(self) -> bool:
        return self.now is not None and self.now.setup.ready

    @property
    def words(self) -> str:
        """How it stands, in a word or two."""
        if self.now is None:
            return "no set-up yet"
        if self.now.word == "failed":
            return "failed at the last"
        if self.now.setup.first.failed:
            return "a first-off failed"
        if left := self.now.setup.first.open:
            return f"{left} first-off{'' if left == 1 else 's'} to take"
        return "measure the last" if self.now.word == "open" and self.finished_at_build else "ready"

    def counts(self, unit_id: int | None = None) -> tuple[int, int]:
        """How many crimps of one unit, or of all, are made, and how many there are."""
        found = [
            crimp
            for unit in self.units
            if unit_id in (None, unit.unit_id)
            for crimp in unit.of(self.key)
        ]
        return sum(1 for crimp in found if crimp.made_at), len(found)

    @property
    def finished_at_build(self) -> bool:
        """No unit at build has a crimp of this group left."""
        return all(unit.finished(self.key) for unit in self.units if unit.stage == "build")


@dataclass(frozen=True)
class CrimpGap:
    """What keeps a unit back, in words, and the group where it is put right."""

    sentence: str
    group: str


def groups(session: Session, unit: Unit | UnitRow) -> list[Group]:
    """The groups that this unit asks for, in the order of its work."""
    found = tuple(crimped_with.of_loom(session, unit.loom_id))
    own = next(one for one in found if one.unit_id == unit.id)
    used = _used(session, unit.loom_id, found)
    keys = dict.fromkeys(crimp.group for crimp in own.crimps)
    parts = catalogue.some(session, (group_of_key(key)[0] for key in keys))
    return [Group(key, _name(parts, key), found, tuple(used.get(key, ()))) for key in keys]


def units_of(
    session: Session, loom_id: int, setup_ids: Collection[int]
) -> list[tuple[int, str, str]]:
    """Which units were crimped with these set-ups, with what and how often: id, serial, words.

    One with which nothing is crimped yet is named by the unit that it was made for.
    """
    found = crimped_with.of_loom(session, loom_id)
    wanted = [
        used
        for group in _used(session, loom_id, found).values()
        for used in group
        if used.setup.id in setup_ids
    ]
    parts = catalogue.some(session, (used.setup.terminal_uid for used in wanted))
    return [
        (unit.unit_id, unit.serial, _use_words(used, _name(parts, used.setup.group), unit))
        for unit in found
        for used in wanted
        if used.by(unit.serial) or (not used.crimps and used.setup.unit_id == unit.unit_id)
    ]


def _use_words(used: Used, name: str, unit: UnitCrimps) -> str:
    made = len(used.crimps.get(unit.serial, ()))
    times = f"{made} crimp{'' if made == 1 else 's'}" if made else "nothing crimped yet"
    lots = f", {used.setup.lots}" if used.setup.lots else ""
    return f"{name}: {used.setup.named}{lots} ({times})"


def _name(parts: Mapping[str, catalogue.CatalogPart], key: str) -> str:
    terminal_uid, csa_mm2 = group_of_key(key)
    return group_name(parts[terminal_uid], csa_mm2)


def _used(session: Session, loom_id: int, found: Sequence[UnitCrimps]) -> dict[str, list[Used]]:
    begun = crimped_with.begun(session, loom_id)
    made: dict[int, dict[str, tuple[Crimp, ...]]] = {}
    for unit in found:
        for setup_id, crimps in crimped_with.used_by(unit, begun).items():
            made.setdefault(setup_id, {})[unit.serial] = tuple(crimps)
    used: dict[str, list[Used]] = {}
    for setup in crimp_setups.history(session, loom_id):
        used.setdefault(setup.group, []).append(Used(setup, made.get(setup.id, {})))
    return used


def build_gaps(session: Session, unit: Unit | UnitRow) -> list[CrimpGap]:
    """What the set-ups keep a unit at build for; an earlier unit of a batch may go ahead."""
    found = []
    for group in groups(session, unit):
        found += _failed(group, unit.serial)
        if group.finished_at_build:
            found += [
                CrimpGap(
                    f"{group.name}: everything is crimped with {used.setup.named}: measure three "
                    "heights and three pulls at the last.",
                    group.key,
                )
                for used in group.used
                if used.word == "open"
            ]
    return found


def test_gaps(session: Session, unit: Unit | UnitRow) -> list[CrimpGap]:
    """Crimps of this unit whose set-up failed at the last."""
    return [gap for group in groups(session, unit) for gap in _failed(group, unit.serial)]


def waived(session: Session, unit: Unit | UnitRow) -> list[str]:
    """Set-ups of this unit's crimps that hold without their last, why, and who said so."""
    return [
        f"{group.name}: {used.setup.named} {_held(used)}: {waiver.reason} ({waiver.person})"
        for group in groups(session, unit)
        for used in group.used
        if used.word == "waived" and used.by(unit.serial) and (waiver := used.setup.waiver)
    ]


def _held(used: Used) -> str:
    failed = "holds although a crimp measured at the last failed"
    return failed if used.setup.last.failed else "is not measured at the last"


def _failed(group: Group, serial: str) -> list[CrimpGap]:
    return [
        CrimpGap(failed_words(group, used), group.key)
        for used in group.used
        if used.word == "failed" and used.by(serial)
    ]


def failed_words(group: Group, used: Used) -> str:
    """Which crimps have to be looked at, since the tool failed at the last."""
    return (
        f"{group.name}: a crimp measured at the last of {used.setup.named} failed. Look at every "
        f"crimp made with it: {used.places}. Make again what is not good; then measure again, or "
        "say by name why they hold."
    )
