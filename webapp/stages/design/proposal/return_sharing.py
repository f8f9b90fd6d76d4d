"""Returns of several circuits from one far place over one wire, where fuse-links are shared too.

Sensitive loads never share with others, nothing shares with what it must not fail with, and each
wire carries little, since it stands the fuse-links of all that it serves.
"""

from webapp.stages.design.proposal.builder import Builder
from webapp.stages.design.proposal.patterns.loads import load_a
from webapp.stages.design.proposal.sharing import ALONE, BY_PLACE, apart
from webapp.stages.design.proposal.supply import Supply
from webapp.stages.design.rows import Need

# Common practice: an earth that electronics or a sender is measured by carries nothing else.
SENSITIVE = frozenset({"electronics", "sender"})
SHARED_RETURN_MOST_A = 10.0
MOST_RETURNS = 4

Return = tuple[str, str, str]


def join_returns(builder: Builder, supply: Supply) -> None:
    """Replaces returns that can share by the one that they share."""
    basis = builder.inputs.basis
    if basis.fuse_sharing != BY_PLACE or builder.inputs.polarity != "insulated return":
        return
    near = {supply.place_uid, supply.board_place_uid}
    by_place: dict[tuple[str, bool], list[tuple[Return, Need]]] = {}
    alone: list[Return] = []
    for item in supply.returns:
        need = _need(builder, item)
        place_uid = builder.place_of(item[2])
        if need is None or place_uid in near or need.service in ALONE:
            alone.append(item)
            continue
        by_place.setdefault((place_uid, need.kind in SENSITIVE), []).append((item, need))
    joined = [
        _join(builder, f"returns/{place_uid}/{sensitive}/{number}", place_uid, bunch)
        for (place_uid, sensitive), found in by_place.items()
        for number, bunch in enumerate(_bunches(builder, found), start=1)
    ]
    supply.returns[:] = [*alone, *joined]


def _need(builder: Builder, item: Return) -> Need | None:
    return builder.inputs.need.get(builder.circuit[item[1]].need_uid or "")


def _bunches(builder: Builder, found: list[tuple[Return, Need]]) -> list[list[Return]]:
    bunches: list[tuple[list[Return], list[Need], float]] = []
    for item, need in found:
        amps = load_a(builder, need) * need.quantity
        for number, (items, needs, there_a) in enumerate(bunches):
            fits = len(items) < MOST_RETURNS and there_a + amps <= SHARED_RETURN_MOST_A
            if fits and not any(apart(need, other) for other in needs):
                bunches[number] = ([*items, item], [*needs, need], there_a + amps)
                break
        else:
            bunches.append(([item], [need], amps))
    return [items for items, _, _ in bunches]


def _join(builder: Builder, origin: str, place_uid: str, items: list[Return]) -> Return:
    if len(items) == 1:
        return items[0]
    part = builder.part(f"splice-4-{len(items) + 1}")
    splice = builder.add_fitting(f"{origin}/splice", part, "Splice", place_uid)
    for number, (link_origin, circuit_uid, way_uid) in enumerate(items, start=2):
        builder.add_link(link_origin, circuit_uid, way_uid, splice.way(str(number)))
    return f"{origin}/wire", items[0][1], splice.way("1")
