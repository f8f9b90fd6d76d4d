"""Alternatives side by side, each as a whole proposal with its price; a person picks one."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.sizing.colours import Palette
from webapp.stages import catalogue, colours, looms, pricing, what_changes
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import commands, entry, revisions
from webapp.stages.design.accepted import view_of
from webapp.stages.design.alternatives import Alternative, Choice, applied, choices
from webapp.stages.design.amounts import Amounts, amounts
from webapp.stages.design.bundles import run_diameters
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal import Proposal, propose
from webapp.stages.design.proposing import worst_drop
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires
from webapp.stages.pricing import Priced
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.what_changes import Made

AS_IT_STANDS = Alternative("", "As it stands", {})


@dataclass(frozen=True)
class Outcome:
    """What the loom comes to under one alternative."""

    alternative: Alternative
    proposal: Proposal
    total_minor: int | None
    amounts: Amounts
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
    view = view_of(session, loom_id)
    return choices(view.design, view.figures) if view.design.link else []


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
    choice = _choice(session, loom_id, about)
    design = entry.latest(session, loom_id)
    parts, palette = catalogue.read(session), colours.palette(session)
    outcomes = []
    for alternative in (AS_IT_STANDS, *choice.alternatives):
        proposal = propose(applied(design, about, alternative), parts, palette)
        priced = price_of(session, loom_id, proposal.design)
        outcomes.append(_outcome(alternative, proposal, parts, about, priced.total_minor))
    last = commands.last_id(session, revision.id)
    return Comparison(choice, tuple(outcomes), priced.currency, last)


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
    choice = _choice(session, loom_id, about)
    chosen = next((one for one in choice.alternatives if one.id == alternative_id), None)
    if chosen is None:
        raise Refused("", "Choose one of the alternatives.")
    sentence = f"{choice.name}: {chosen.title[:1].lower()}{chosen.title[1:]}"

    def making(design: Design, parts: Catalogue, palette: Palette) -> Made:
        return Made(propose(applied(design, about, chosen), parts, palette).design, sentence)

    return what_changes.take(session, loom_id, making, last_command, person_id)


def _choice(session: Session, loom_id: int, about: str) -> Choice:
    found = next((one for one in offered(session, loom_id) if one.about == about), None)
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
    design, figures = proposal.design, proposal.figures
    own = [load for load in figures.loads.values() if load.need and load.need.uid == about]
    drops = [drop for drop in figures.drops if drop.load in own]
    nearest = max(drops, key=lambda drop: drop.drop_percent / drop.limit_percent, default=None)
    return Outcome(
        alternative=alternative,
        proposal=proposal,
        total_minor=total_minor,
        amounts=amounts(wires(design)),
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
