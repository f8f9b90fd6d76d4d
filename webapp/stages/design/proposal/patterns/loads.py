"""What a need asks for as a load: its current, the part that stands for it, its two ways."""

from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.controls import control_of
from webapp.stages.design.proposal.builder import Builder, Placed
from webapp.stages.design.rows import Need

COIL_A = 0.35  # most that a small relay's coil takes at 6 V: common practice
HEAVY_LOAD_A = 22.5
SENDER_A = 5.0
SPECIAL_LOADS = {"self-parking": "load-wiper", "starter": "load-starter"}


def load_a(builder: Builder, need: Need) -> float:
    """Current of one of them at charging voltage."""
    kind = need.kind if need.kind in LOAD_KINDS else "resistive"
    return load_current_a(
        kind,
        rating=need.rating,
        rating_unit=need.rating_unit,
        rated_at_v=need.rated_at_v,
        voltage_v=builder.inputs.basis.heat_at_v,
    ).value


def load_part(builder: Builder, need: Need) -> CatalogPart:
    control, amps = control_of(need.control), load_a(builder, need)
    if control and control.pattern in SPECIAL_LOADS:
        return builder.part(SPECIAL_LOADS[control.pattern])
    if need.kind == "sender" and amps <= SENDER_A:
        return builder.part("load-sender")
    if amps > HEAVY_LOAD_A:
        return builder.part("load-heavy")
    if need.kind in ("lamp", "led"):
        return builder.part("load-lamp")
    if need.kind == "electronics":
        return builder.part("load-electronics")
    if need.kind == "motor":
        return builder.part("load-pump" if need.service == "pump" else "load-motor")
    return builder.part("load-resistive")


def load_ways(builder: Builder, placed: Placed) -> tuple[str, str]:
    """The load's way towards the feed, and its way back."""
    bridge = next(
        bridge
        for bridge in builder.bridge.values()
        if bridge.fitting_uid == placed.uid and bridge.kind == "load"
    )
    ends = (bridge.way_a_uid, bridge.way_b_uid)
    labels = {builder.way[uid].label for uid in ends}
    polar = "+" in labels
    return ends if builder.feed_is_positive or not polar else (ends[1], ends[0])


def warn_polarised(builder: Builder, needs: list[Need]) -> None:
    if builder.feed_is_positive:
        return
    for need in needs:
        if need.kind in ("electronics", "led", "source"):
            builder.say(
                f"{need.name} minds its polarity: on this positive-earth loom its − goes to "
                f"the fused feed and its + to earth. Check that its case is not joined to −.",
                need.uid,
            )
