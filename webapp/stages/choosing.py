"""Alternatives side by side, each as a whole proposal with its price; a person picks one."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.stages import catalogue, colours, looms, pricing
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import commands, revisions
from webapp.stages.design.alternatives import (
    WHOLE_LOOM,
    Alternative,
    Choice,
    applied,
    choices,
)
from webapp.stages.design.bundles import run_diameters
from webapp.stages.design.commands import difference, write
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal import Proposal, propose
from webapp.stages.design.proposing import COPPER_G_PER_CM3, worst_drop
from webapp.stages.design.rows import Design, load
from webapp.stages.design.wires import wires
from webapp.stages.pricing import Priced
from webapp.stages.refusals import NotThere, Refused

AS_IT_STANDS = Alternative("", "As it stands", {})


@dataclass(frozen=True)
class Outcome:
    """What the loom comes to under one alternative."""

    alternative: Alternative
    proposal: Proposal
    total_minor: int | None
    wires: int
    copper_g: float
    own_drop_percent: float | None
    own_limit_percent: float | None
    own_hottest_c: float | None
    worst_drop: str
    hottest_c: float | None
    bundle_mm: float | None


@dataclass(frozen=True)
class Comparison:
    """A choice with the outcome of each alternative, the present one first."""

    choice: Choice
    outcomes: tuple[Outcome, ...]
    currency: str
    last_command: int


def offered(session: Session, loom_id: int) -> list[Choice]:
    """The real choices of the loom as it is designed now; none before there are wires."""
    design = load(session, revisions.latest(session, loom_id).id)
    return choices(design, Figures(design)) if design.link else []


def price_of(session: Session, loom_id: int, design: Design) -> Priced:
    """The loom priced as `design` has it, which need not be kept anywhere."""
    loom = looms.get(session, loom_id)
    return pricing.of_design(session, loom, revisions.latest(session, loom_id), design)


def compare(session: Session, loom_id: int, about: str) -> Comparison:
    """One choice's alternatives, each proposed and priced. Changes nothing.

    Raises:
        NotThere: no such loom, or no choice is left about this.
    """
    revision = revisions.latest(session, loom_id)
    design = load(session, revision.id)
    choice = _choice(design, about)
    parts, palette = catalogue.read(session), colours.palette(session)
    loom = looms.get(session, loom_id)
    outcomes, currency = [], ""
    for alternative in (AS_IT_STANDS, *choice.alternatives):
        proposal = propose(applied(design, about, alternative), parts, palette)
        priced = pricing.of_design(session, loom, revision, proposal.design)
        currency = priced.currency
        total = None if priced.price is None else priced.price.pay.total.minor
        outcomes.append(_outcome(alternative, proposal, parts, about, total))
    last = commands.last_id(session, revision.id)
    return Comparison(choice, tuple(outcomes), currency, last)


def pick(
    session: Session,
    loom_id: int,
    about: str,
    alternative_id: str,
    last_command: int,
    person_id: int,
) -> str:
    """Change the inputs as the alternative says, and take the proposal, as one command.

    Raises:
        NotThere: no such loom, or no such choice is left.
        Refused: the design changed since the comparison; or nothing would change.
    """
    seen = revisions.latest(session, loom_id)
    if commands.last_id(session, seen.id) != last_command:
        raise Refused("", "The design has changed since this was compared. Look at it again.")
    choice = _choice(load(session, seen.id), about)
    chosen = next((one for one in choice.alternatives if one.id == alternative_id), None)
    if chosen is None:
        raise Refused("", "Choose one of the alternatives.")
    revision_id = revisions.open_for_edit(session, loom_id)
    design = load(session, revision_id)
    inputs = applied(design, about, chosen)
    proposal = propose(inputs, catalogue.read(session), colours.palette(session))
    sentence = f"{choice.name}: {chosen.title[:1].lower()}{chosen.title[1:]}"
    if (
        write(session, revision_id, sentence, difference(design, proposal.design), person_id)
        is None
    ):
        raise Refused("", "The design is like that already: nothing changes.")
    return sentence


def _choice(design: Design, about: str) -> Choice:
    if not design.link or (about != WHOLE_LOOM and about not in design.need):
        raise NotThere
    found = next((one for one in choices(design, Figures(design)) if one.about == about), None)
    if found is None:
        raise NotThere
    return found


def _outcome(
    alternative: Alternative,
    proposal: Proposal,
    parts: Catalogue,
    about: str,
    total_minor: int | None,
) -> Outcome:
    design = proposal.design
    figures = Figures(design)
    cut = wires(design)
    copper = sum((wire.length_mm or 0) / 10 * (wire.link.csa_mm2 or 0) / 100 for wire in cut)
    own = [load for load in figures.loads.values() if load.need and load.need.uid == about]
    drops = [drop for drop in figures.drops if drop.load in own]
    nearest = max(drops, key=lambda drop: drop.drop_percent / drop.limit_percent, default=None)
    return Outcome(
        alternative=alternative,
        proposal=proposal,
        total_minor=total_minor,
        wires=len(cut),
        copper_g=copper * COPPER_G_PER_CM3,
        own_drop_percent=nearest.drop_percent if nearest else None,
        own_limit_percent=nearest.limit_percent if nearest else None,
        own_hottest_c=_hottest_c(figures, _own_links(own)) if own else None,
        worst_drop=worst_drop(figures),
        hottest_c=_hottest_c(figures, design.link),
        bundle_mm=max(run_diameters(design, parts).values(), default=None),
    )


def _own_links(loads: list[LoadFigures]) -> set[str]:
    return {uid for load in loads for uid in load.path.edges}


def _hottest_c(figures: Figures, uids: Iterable[str]) -> float | None:
    found = [
        temperature
        for uid in uids
        if uid in figures.design.link
        and (temperature := figures.wire(uid).temperature_c) is not None
    ]
    return max(found, default=None)
