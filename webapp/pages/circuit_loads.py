"""A circuit's loads as rows: what each gets in the operating state that is looked at."""

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.pages.operating_choice import OperatingChoice
from webapp.pages.wording import number
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.following import AT_HEAT


@dataclass(frozen=True)
class LoadRow:
    uid: str
    name: str
    fitting_uid: str
    place: str
    by_hand: str
    reckoned: str
    # In the state that is looked at; empty while it is off.
    amps: str
    volts: str
    drop: str
    limit: str
    too_much: bool

    @property
    def id(self) -> str:
        return f"load-{self.uid}"


def load_rows(
    figures: Figures, loads: Iterable[LoadFigures], choice: OperatingChoice
) -> tuple[LoadRow, ...]:
    operating = figures.operating
    solved = operating.hot_solution if choice.at == AT_HEAT else operating.low_solution
    solution = solved(choice.state)
    flows = solution.loads if solution is not None else {}
    found = []
    for load in loads:
        flow = flows.get(load.uid)
        drop = figures.load_drop(load) if load.path.complete else None
        fitting = figures.design.fitting[load.bridge.fitting_uid]
        found.append(
            LoadRow(
                uid=load.uid,
                name=load.name,
                fitting_uid=fitting.uid,
                place=figures.design.place[fitting.place_uid].name,
                by_hand="" if load.bridge.load_a is None else f"{load.bridge.load_a:g}",
                reckoned=number(load.heat_a, 2),
                amps="" if flow is None else number(abs(flow.current_a), 2),
                volts="" if flow is None else number(abs(flow.voltage_v), 2),
                drop="" if drop is None else number(drop.drop_percent, 1),
                limit="" if drop is None else number(drop.limit_percent, 0),
                too_much=drop is not None and drop.drop_percent > drop.limit_percent,
            )
        )
    return tuple(found)
