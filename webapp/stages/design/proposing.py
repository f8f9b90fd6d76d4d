"""A proposal for a loom: seen first, then taken as one command that undo takes back."""

from collections import Counter
from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.stages import catalogue, colours
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import commands, revisions
from webapp.stages.design.amounts import Amounts, amounts
from webapp.stages.design.bundles import run_diameters
from webapp.stages.design.commands import Change, difference, write
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal import Proposal, propose
from webapp.stages.design.rows import load
from webapp.stages.design.wires import Wire, wires
from webapp.stages.refusals import Refused


@dataclass(frozen=True)
class Summary:
    """What a proposed loom amounts to."""

    fittings: int
    amounts: Amounts
    worst_drop: str
    hottest: str
    bundle_mm: float | None


@dataclass(frozen=True)
class Preview:
    proposal: Proposal
    wires: tuple[Wire, ...]
    summary: Summary
    added: int
    changed: int
    taken_out: int
    last_command: int

    @property
    def differs(self) -> bool:
        return bool(self.added or self.changed or self.taken_out)


def preview(session: Session, loom_id: int) -> Preview:
    """What a proposal would make of the needs as they stand. Changes nothing."""
    revision = revisions.latest(session, loom_id)
    design = load(session, revision.id)
    parts = catalogue.read(session)
    proposal = propose(design, parts, colours.palette(session))
    kinds = Counter(_kind(change) for change in difference(design, proposal.design))
    cut = wires(proposal.design)
    return Preview(
        proposal=proposal,
        wires=tuple(cut),
        summary=_summary(proposal.figures, cut, parts),
        added=kinds["added"],
        changed=kinds["changed"],
        taken_out=kinds["taken out"],
        last_command=commands.last_id(session, revision.id),
    )


def _kind(change: Change) -> str:
    if change.before is None:
        return "added"
    return "taken out" if change.after is None else "changed"


def take(session: Session, loom_id: int, last_command: int, person_id: int) -> str:
    """Put the proposal in place of the design. `last_command` is what the preview was made on.

    Raises:
        Refused: the design changed since the preview; or nothing would change.
    """
    seen = revisions.latest(session, loom_id)
    if commands.last_id(session, seen.id) != last_command:
        raise Refused("", "The design has changed since this proposal was made. Look at it again.")
    revision_id = revisions.open_for_edit(session, loom_id)
    design = load(session, revision_id)
    proposal = propose(design, catalogue.read(session), colours.palette(session))
    sentence = f"Proposal taken: {len(wires(proposal.design))} wires"
    changes = difference(design, proposal.design)
    if write(session, revision_id, sentence, changes, person_id) is None:
        raise Refused("", "The design is as the proposal would make it: nothing changes.")
    return sentence


def _summary(figures: Figures, cut: list[Wire], parts: Catalogue) -> Summary:
    return Summary(
        fittings=len(figures.design.fitting),
        amounts=amounts(cut),
        worst_drop=worst_drop(figures),
        hottest=_hottest(figures, cut),
        bundle_mm=max(run_diameters(figures.design, parts).values(), default=None),
    )


def worst_drop(figures: Figures) -> str:
    """The load that comes nearest to its limit."""
    if not figures.drops:
        return "no load is fed"
    worst = max(figures.drops, key=lambda drop: drop.drop_percent / drop.limit_percent)
    need = worst.load.need
    name = need.name if need else figures.design.fitting[worst.load.bridge.fitting_uid].name
    return f"{name}: {worst.drop_percent:.1f} % of {worst.limit_percent:g} % allowed"


def _hottest(figures: Figures, cut: list[Wire]) -> str:
    found = [
        (temperature_c, wire)
        for wire in cut
        if (temperature_c := figures.wire(wire.link.uid).temperature_c) is not None
    ]
    if not found:
        return "no wire is sized"
    temperature_c, wire = max(found, key=lambda pair: pair[0])
    return f"wire {wire.number}, about {temperature_c:.0f} °C in {_air_c(figures, wire):g} °C"


def _air_c(figures: Figures, wire: Wire) -> float:
    return figures.wire(wire.link.uid).surroundings.ambient_c
