"""The whole proposal, step by step, from the needs of a design to a design."""

from dataclasses import dataclass, replace

from webapp.sizing.colours import COMMON_PALETTE, Palette
from webapp.sizing.fuse_gates import family
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.figures import Figures
from webapp.stages.design.findings import Finding, View, findings_of
from webapp.stages.design.proposal.builder import Builder, CannotPropose, Named
from webapp.stages.design.proposal.cables import Cables, fit_cables
from webapp.stages.design.proposal.colours import colour_wires
from webapp.stages.design.proposal.ends import EndMaker, allow_ends
from webapp.stages.design.proposal.fuses import rate_fuses
from webapp.stages.design.proposal.merge import kept_ends, merge
from webapp.stages.design.proposal.patterns.checks import can_meet
from webapp.stages.design.proposal.patterns.group import Group, groups_of
from webapp.stages.design.proposal.patterns.key_switch import asks_for_key
from webapp.stages.design.proposal.patterns.meeting import Meeting
from webapp.stages.design.proposal.plugs import Plugs
from webapp.stages.design.proposal.return_sharing import join_returns
from webapp.stages.design.proposal.runs import cover_runs
from webapp.stages.design.proposal.sizes import Sizer, splices_by_section
from webapp.stages.design.proposal.splices import place_splices
from webapp.stages.design.proposal.spreading import lay_spreads
from webapp.stages.design.proposal.supply import FuseKinds, Supply
from webapp.stages.design.prospective import RESTED_V_PER_CELL, prospective_a
from webapp.stages.design.row_words import row_name
from webapp.stages.design.rows import Design


@dataclass(frozen=True)
class Proposal:
    """A proposed design with its figures, what it could not do, what it assumed, what it left."""

    figures: Figures
    cannot: tuple[Named, ...]
    assumed: tuple[Named, ...]
    kept: tuple[str, ...]

    @property
    def design(self) -> Design:
        return self.figures.design


def propose(design: Design, catalogue: Catalogue, palette: Palette = COMMON_PALETTE) -> Proposal:
    """A whole loom for the needs of `design`, in the workshop's colours. Nothing that a person set
    by hand is changed."""
    kinds = _kinds(design)
    try:
        laid = _lay(design, catalogue, kinds)
        # Most boards that need cartridges are told before the whole loom is worked out.
        boards = _on_boards(laid.figures.design, kinds)
        board_a = _largest_a(Sizer(laid.figures, catalogue).warm(), boards)
        stronger = _stronger(kinds, board_a, design)
        finished = _finish(_lay(design, catalogue, stronger) if stronger else laid, palette)
        if stronger is None:
            board_a = _largest_a(finished.figures, boards)
            stronger = _stronger(kinds, board_a, design)
            if stronger is not None:
                finished = _finish(_lay(design, catalogue, stronger), palette)
    except CannotPropose as reason:
        return Proposal(Figures(design), (Named(str(reason)),), (), ())
    if stronger is None:
        return finished
    blades_a = family(kinds.board).breaking_capacity_a
    as_built_a = _largest_a(finished.figures, boards)
    why = Named(
        f"The fuse boards take cartridge fuse-links: a new battery can drive about "
        f"{as_built_a if as_built_a > blades_a else board_a:,.0f} A into a short there, more than "
        f"the {blades_a:,.0f} A that blade fuse-links break."
    )
    return replace(finished, assumed=(why, *finished.assumed))


def _on_boards(design: Design, kinds: FuseKinds) -> set[str]:
    """The fuse-links on boards, while those at the battery may still be told from them."""
    return {uid for uid, bridge in design.bridge.items() if bridge.fuse_kind == kinds.board}


def _largest_a(figures: Figures, fuse_uids: set[str]) -> float:
    """The largest short that one of these fuse-links must break."""
    faults = prospective_a(figures).items()
    return max((amps for uid, amps in faults if uid in fuse_uids), default=0.0)


def _stronger(kinds: FuseKinds, board_a: float, design: Design) -> FuseKinds | None:
    """The families with one for the boards that breaks this; None where theirs does."""
    board = _able(("blade-medium", "cartridge-10x38"), board_a, design.basis.heat_at_v)
    return None if board is None or board == kinds.board else replace(kinds, board=board)


def _able(kinds: tuple[str, ...], fault_a: float, system_v: float) -> str | None:
    """The first family that breaks this current at this voltage."""
    for kind in kinds:
        found = family(kind)
        if found.breaking_capacity_a >= fault_a and found.rated_voltage_v >= system_v:
            return kind
    return None


def _kinds(design: Design) -> FuseKinds:
    """Beside the battery nothing but its own resistance limits a short."""
    basis = design.basis
    cells_v = design.nominal_v / 2 * RESTED_V_PER_CELL
    fault_a = cells_v / max(basis.supply_mohm_new, 0.1) * 1000
    return FuseKinds(
        board=_able(("blade-medium", "cartridge-10x38"), 0.0, basis.heat_at_v) or "cartridge-10x38",
        small_at_battery=_able(("blade-medium", "cartridge-10x38"), fault_a, basis.heat_at_v)
        or "cartridge-10x38",
        large_at_battery=_able(("bolt-down", "class-t"), fault_a, basis.heat_at_v) or "class-t",
    )


@dataclass(frozen=True)
class _Laid:
    """The loom before its wires have their sizes."""

    before: Design
    catalogue: Catalogue
    builder: Builder
    figures: Figures
    kept: list[str]


def _lay(design: Design, catalogue: Catalogue, kinds: FuseKinds) -> _Laid:
    """Everything joined and rated, with these families of fuse-links.

    Raises:
        CannotPropose: there is nothing to begin from.
    """
    builder = Builder(design, catalogue)
    _build(builder, kinds)
    builder.in_order()
    merged, kept = merge(design, builder)
    figures, _ = rate_fuses(Figures(allow_ends(builder.routed(merged))), catalogue)
    return _Laid(design, catalogue, builder, figures, kept)


def _finish(laid: _Laid, palette: Palette) -> Proposal:
    design, catalogue, builder = laid.before, laid.catalogue, laid.builder
    cables = Cables(Sizer(laid.figures, catalogue).size(), catalogue, design)
    plugs = Plugs(cables.lay(), catalogue, design.crossing)
    fitted = allow_ends(place_splices(plugs.fit()))
    figures, fuse_troubles = rate_fuses(Figures(fitted), catalogue)
    sizer = Sizer(figures, catalogue)
    sizer.size()
    built = splices_by_section(sizer.figures, catalogue)
    built, colour_words = colour_wires(built, palette)
    built = fit_cables(built, catalogue)
    makers = EndMaker(figures.of(built), catalogue)
    built, cover_words = cover_runs(makers.make(), catalogue)
    figures = figures.of(built)
    cannot = [*builder.refused, *fuse_troubles, *sizer.troubles, *makers.said, *cover_words]
    cannot += _own_findings(View(built, catalogue, figures=figures), already=bool(cannot))
    assumed = [*builder.said, *cables.said, *plugs.said, *colour_words]
    kept = (*laid.kept, *cables.kept, *kept_ends(design, built))
    return Proposal(figures, _unlike(cannot), _unlike(assumed), kept)


# What these rules find is named by the step that could not do it, in more words.
_NAMED_BY_STEPS = frozenset(
    {"drop", "missing terminal", "need unmet", "fuse rating", "conductor too small"}
)


def _own_findings(view: View, *, already: bool) -> list[Named]:
    """A proposal is held against the findings like any design: its errors are named with it."""
    return [
        Named(f"{_row_name(view.design, finding)}: {finding.sentence}")
        for finding in findings_of(view)
        if finding.severity == "error" and not (already and finding.rule in _NAMED_BY_STEPS)
    ]


def _row_name(design: Design, finding: Finding) -> str:
    if finding.table == "wire":
        return f"Wire {design.link[finding.uid].number}"
    if finding.table == "basis":
        return "The loom"
    return row_name(design, design.table(finding.table)[finding.uid])


def _unlike(named: list[Named]) -> tuple[Named, ...]:
    return tuple(dict.fromkeys(named))


def _build(builder: Builder, kinds: FuseKinds) -> None:
    needs = builder.inputs.need
    if not needs:
        raise CannotPropose("Enter at least one need first.")
    groups = groups_of(needs)
    starter = any(group.pattern == "starter" and can_meet(builder, group) for group in groups)
    meters = [each for each in groups if each.pattern == "ammeter" and can_meet(builder, each)]
    supply = Supply(
        builder,
        kinds,
        has_starter=starter,
        single=_alone(groups),
        meter_need=meters[0].leader if meters else None,
    )
    meeting = Meeting(builder, supply, groups)
    for group in groups:
        meeting.meet_or_leave(group)
    if key := builder.placed("key"):
        supply.key_boards(key)
    lay_spreads(builder)
    join_returns(builder, supply)
    supply.finish()


def _alone(groups: list[Group]) -> bool:
    """Whether one circuit is all that a fuse board would serve."""
    served = [group for group in groups if group.leader.kind != "source"]
    served = [group for group in served if group.pattern not in ("starter", "ammeter")]
    needs = [need for group in groups for need in group.needs]
    return len(served) == 1 and not any(asks_for_key(need) for need in needs)
