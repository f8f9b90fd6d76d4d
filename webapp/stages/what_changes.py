"""What an edit of the whole loom would change, seen before it is taken as one command."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.sizing.colours import Palette
from webapp.stages import catalogue, colours, looms, pricing
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import commands, entry, revisions
from webapp.stages.design.accepted import view_of
from webapp.stages.design.commands import difference, write
from webapp.stages.design.comparing import Comparison
from webapp.stages.design.comparing import compare as compare_designs
from webapp.stages.design.entry import Plan, RowsRefused
from webapp.stages.design.findings import Finding, findings_of
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, load
from webapp.stages.design.sign_off import sentence_of
from webapp.stages.refusals import Refused


@dataclass(frozen=True)
class Made:
    """A design as an edit would make it, and what it could not do, took for granted and kept."""

    design: Design
    sentence: str
    cannot: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()


Making = Callable[[Design, Catalogue, Palette], Made]


@dataclass(frozen=True)
class Said:
    """A finding that comes or goes, in words that name its row."""

    severity: str
    sentence: str


@dataclass(frozen=True)
class WhatChanges:
    """The present design beside the one that would be made."""

    before: Design
    made: Made
    comparison: Comparison
    before_minor: int | None
    after_minor: int | None
    currency: str
    come: tuple[Said, ...]
    gone: tuple[Said, ...]
    last_command: int


def proposed(plan: Plan, sentence: str, parts: Catalogue, palette: Palette) -> Made:
    """The needs as a plan would have them, proposed.

    Raises:
        RowsRefused: the plan has problems.
    """
    if plan.problems:
        raise RowsRefused(plan.problems, {})
    proposal = propose(plan.after, parts, palette)
    return Made(
        proposal.design,
        sentence,
        tuple(named.sentence for named in proposal.cannot),
        tuple(named.sentence for named in proposal.assumed),
        proposal.kept,
    )


def look(session: Session, loom_id: int, making: Making) -> WhatChanges:
    """What would change. Changes nothing.

    Raises:
        NotThere: no such loom or row.
        RowsRefused, Refused: it cannot be made as asked.
    """
    before = entry.latest(session, loom_id)
    parts = catalogue.read(session)
    made = making(before, parts, colours.palette(session))
    loom, revision = looms.get(session, loom_id), revisions.latest(session, loom_id)
    priced = [pricing.of_design(session, loom, revision, each) for each in (before, made.design)]
    found = [findings_of(view_of(session, loom_id, each)) for each in (before, made.design)]
    return WhatChanges(
        before=before,
        made=made,
        comparison=compare_designs(before, made.design, parts.parts),
        before_minor=priced[0].total_minor,
        after_minor=priced[1].total_minor,
        currency=priced[1].currency,
        come=_not_in(found[1], found[0], made.design),
        gone=_not_in(found[0], found[1], before),
        last_command=commands.last_id(session, revision.id),
    )


def _not_in(some: list[Finding], others: list[Finding], design: Design) -> tuple[Said, ...]:
    """Findings whose rule says nothing about that row in the other design: a figure in its words
    may differ."""
    known = {(each.rule, each.table, each.uid) for each in others}
    new = [each for each in some if (each.rule, each.table, each.uid) not in known]
    return tuple(_unlike(Said(each.severity, sentence_of(design, each)) for each in new))


def _unlike(said: Iterable[Said]) -> list[Said]:
    return list(dict.fromkeys(said))


def take(session: Session, loom_id: int, making: Making, last_command: int, person_id: int) -> str:
    """Make it so, as one command. `last_command` is what was looked at.

    Raises:
        NotThere: no such loom or row.
        RowsRefused, Refused: it cannot be made as asked; the design changed since it was looked at;
            or nothing would change.
    """
    seen = revisions.latest(session, loom_id)
    if commands.last_id(session, seen.id) != last_command:
        raise Refused("", "The design has changed since you looked at this. Look at it again.")
    parts, palette = catalogue.read(session), colours.palette(session)
    before = load(session, seen.id)
    made = making(before, parts, palette)
    # The next revision of a signed-off one begins with the same rows.
    revision_id = revisions.open_for_edit(session, loom_id)
    changes = difference(before, made.design)
    if write(session, revision_id, made.sentence, changes, person_id) is None:
        raise Refused("", "The design is like that already: nothing changes.")
    return made.sentence
