"""The ways back of loads: to the nearest bar or earth stud, or to a field terminal."""

from webapp.stages.design.proposal.builder import CannotPropose, Placed, uid_of
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.loads import HEAVY_LOAD_A, load_ways
from webapp.stages.design.proposal.supply import BOARD_MOST_A
from webapp.stages.design.rows import Need


def backs(lay: Laying, group: Group) -> None:
    """The way back of every load: several of one need at one place share a wire."""
    by_need: dict[str, list[tuple[Need, Placed]]] = {}
    for need, placed in group.loads:
        by_need.setdefault(need.uid, []).append((need, placed))
    for uid, loads in by_need.items():
        need = loads[0][0]
        ways = [load_ways(lay.b, placed)[1] for _, placed in loads]
        if need.to_field_terminal:
            _to_field(lay, group, need, ways)
        elif len(ways) == 1:
            one_back(lay, f"{uid}/back", group.circuit_uid, ways[0], lay.amps(need))
        elif need.quantity * lay.amps(need) <= BOARD_MOST_A:
            _joined_back(lay, f"{uid}/back", group.circuit_uid, ways, need.place_uid)
        else:
            for number, way in enumerate(ways, start=1):
                one_back(lay, f"{uid}/back/{number}", group.circuit_uid, way, lay.amps(need))


def one_back(lay: Laying, origin: str, circuit_uid: str, way: str, amps: float) -> None:
    if amps > HEAVY_LOAD_A:
        lay.supply.heavy_back(origin, circuit_uid, way, starter=False)
    else:
        lay.supply.back(origin, circuit_uid, way)


def _joined_back(
    lay: Laying, origin: str, circuit_uid: str, ways: list[str], place_uid: str
) -> None:
    """Returns of lamps in pairs and fours meet at a splice; of more, at splices of four."""
    for start in range(0, len(ways), 4):
        some = ways[start : start + 4]
        here = f"{origin}/{start}"
        if len(some) == 1:
            lay.supply.back(here, circuit_uid, some[0])
            continue
        splice = lay.b.add_fitting(
            f"{here}/splice", lay.b.part(f"splice-4-{len(some) + 1}"), "Splice", place_uid
        )
        for number, way in enumerate(some, start=2):
            lay.b.add_link(f"{here}/{number}", circuit_uid, way, splice.way(str(number)))
        lay.supply.back(here, circuit_uid, splice.way("1"))


def _to_field(lay: Laying, group: Group, need: Need, ways: list[str]) -> None:
    field_way = uid_of("alternator/field")
    if field_way not in lay.b.way:
        raise CannotPropose(
            f"{need.name} goes to an alternator's field terminal, and no need is an alternator."
        )
    for number, way in enumerate(ways, start=1):
        lay.b.add_link(f"{need.uid}/field/{number}", group.circuit_uid, way, field_way)
