"""The call that divides the current in a loom."""

from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, Field

from webapp.sizing.network import Load, Network, Supply, Wire, solve

from .answers import Answer, told
from .fields import MaybeNumber, Strict, Volts
from .problems import RESPONSES, SizingRoute

router = APIRouter(
    prefix="/api/sizing", route_class=SizingRoute, responses=RESPONSES, tags=["sizing"]
)

MOST_PARTS = 2000
Name = Annotated[str, Field(min_length=1, max_length=200)]


class SupplyFields(Strict):
    """A voltage behind a resistance."""

    name: Name
    positive: Name
    negative: Name
    voltage_v: Volts
    resistance_ohm: Annotated[float, Field(ge=0, le=1e9)]


class WireFields(Strict):
    """A wire, contact or joint between two nodes."""

    name: Name
    from_node: Name = Field(alias="from")
    to_node: Name = Field(alias="to")
    resistance_ohm: Annotated[float, Field(gt=0, le=1e9)]


class LoadFields(Strict):
    """What takes current between two nodes; exactly one of the three figures is given."""

    name: Name
    from_node: Name = Field(alias="from")
    to_node: Name = Field(alias="to")
    current_a: MaybeNumber = None
    power_w: MaybeNumber = None
    resistance_ohm: MaybeNumber = None


class NetworkRequest(Strict):
    """A loom in one operating state; voltages count from `return`."""

    return_node: Name = Field(alias="return")
    supplies: Annotated[list[SupplyFields], Field(min_length=1, max_length=MOST_PARTS)]
    wires: Annotated[list[WireFields], Field(max_length=MOST_PARTS)]
    loads: Annotated[list[LoadFields], Field(max_length=MOST_PARTS)]


class WireAnswer(BaseModel):
    """Current from `from` to `to`, the drop along it, and the heat in it."""

    current_a: float
    drop_v: float
    loss_w: float


class LoadAnswer(BaseModel):
    """What the load gets."""

    voltage_v: float
    current_a: float


class SupplyAnswer(BaseModel):
    """What the supply gives; its current is positive when delivering."""

    current_a: float
    terminal_v: float


class NetworkAnswer(Answer):
    """The solution, by the names given."""

    nodes: dict[str, float]
    wires: dict[str, WireAnswer]
    loads: dict[str, LoadAnswer]
    supplies: dict[str, SupplyAnswer]


@router.post("/network")
def network(sent: NetworkRequest) -> NetworkAnswer:
    """Volts at every node and current in every wire."""
    found = solve(
        Network(
            sent.return_node,
            tuple(
                Supply(each.name, each.positive, each.negative, each.voltage_v, each.resistance_ohm)
                for each in sent.supplies
            ),
            tuple(
                Wire(each.name, each.from_node, each.to_node, each.resistance_ohm)
                for each in sent.wires
            ),
            tuple(
                Load(
                    each.name,
                    each.from_node,
                    each.to_node,
                    current_a=each.current_a,
                    power_w=each.power_w,
                    resistance_ohm=each.resistance_ohm,
                )
                for each in sent.loads
            ),
        )
    )
    return NetworkAnswer(
        nodes=dict(found.nodes),
        wires={name: WireAnswer(**flow._asdict()) for name, flow in found.wires.items()},
        loads={name: LoadAnswer(**flow._asdict()) for name, flow in found.loads.items()},
        supplies={name: SupplyAnswer(**flow._asdict()) for name, flow in found.supplies.items()},
        reasons=told(found.reasons),
    )
