"""The workshop's own colour code, and the colours that it has wire of."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from webapp.records.workshop import FunctionColour, StockedColour, Workshop
from webapp.sizing.colours import (
    FUNCTIONS,
    Pair,
    Palette,
    colour_names,
    workshop_code,
)
from webapp.sizing.reasons import SizingError
from webapp.stages.editing import merged
from webapp.stages.refusals import Refused

NAMES = colour_names("workshop")
ONLY_STOCKED = "only_stocked_colours"


def palette(session: Session) -> Palette:
    """What a proposal colours with."""
    row = session.get(Workshop, 1)
    only_stocked = row is not None and row.only_stocked_colours
    return Palette(workshop_code(_own(session)), _stocked(session) if only_stocked else None)


def values(session: Session) -> dict[str, Any]:
    """Everything by field: `main-horn` and `tracer-horn` for each function, `plain-red` and
    `tracers-red` (a tuple of names) for each colour of wire, and whether proposals keep to stock.
    """
    own, stocked = _own(session), _stocked(session)
    found: dict[str, Any] = {
        ONLY_STOCKED: session.get_one(Workshop, 1).only_stocked_colours,
    }
    for function in FUNCTIONS:
        main, tracer = own.get(function, ("", None))
        found |= {field("main", function): main, field("tracer", function): tracer or ""}
    for main in NAMES:
        tracers = tuple(tracer for tracer in NAMES if (main, tracer) in stocked)
        found |= {field("plain", main): (main, None) in stocked, field("tracers", main): tracers}
    return found


def field(what: str, name: str) -> str:
    """The name of a field about a function or a colour."""
    return f"{what}-{name.replace(' ', '-')}"


def edit(session: Session, opened: Mapping[str, Any], typed: Mapping[str, Any]) -> None:
    """Changes the code and the stock; fields as `values` has them.

    Raises:
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: a tracer without or like its main colour; a colour that is kept for something
            else; keeping to a stock that is empty.
    """
    result = merged(now=values(session), opened=opened, typed=typed)
    own, stocked = _own_of(result), _stock_of(result)
    try:
        workshop_code(own)
    except SizingError as error:
        raise Refused(field("main", error.field), error.message) from error
    if result[ONLY_STOCKED] and not stocked:
        raise Refused(ONLY_STOCKED, "Enter first which colours the workshop has wire of.")
    session.get_one(Workshop, 1).only_stocked_colours = result[ONLY_STOCKED]
    session.execute(delete(FunctionColour))
    session.execute(delete(StockedColour))
    session.add_all(
        FunctionColour(function=function, main=main, tracer=tracer or "")
        for function, (main, tracer) in own.items()
    )
    session.add_all(StockedColour(main=main, tracer=tracer or "") for main, tracer in stocked)
    session.flush()


def _own_of(result: Mapping[str, Any]) -> dict[str, Pair]:
    own: dict[str, Pair] = {}
    for function in FUNCTIONS:
        main, tracer = result[field("main", function)], result[field("tracer", function)]
        if tracer and not main:
            raise Refused(field("main", function), "A tracer needs a main colour.")
        if main:
            own[function] = (main, tracer or None)
    return own


def _stock_of(result: Mapping[str, Any]) -> list[Pair]:
    stocked: list[Pair] = []
    for main in NAMES:
        if result[field("plain", main)]:
            stocked.append((main, None))
        for tracer in result[field("tracers", main)]:
            if tracer == main:
                raise Refused(
                    field("tracers", main), f"A tracer on {main} wire cannot be {main} itself."
                )
            stocked.append((main, tracer))
    return stocked


def _own(session: Session) -> dict[str, Pair]:
    rows = session.scalars(select(FunctionColour))
    return {row.function: (row.main, row.tracer or None) for row in rows}


def _stocked(session: Session) -> frozenset[Pair]:
    rows = session.scalars(select(StockedColour))
    return frozenset((row.main, row.tracer or None) for row in rows)
