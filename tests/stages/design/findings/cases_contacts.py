"""Cases of the rules about switches, relays and splices."""

from dataclasses import replace
from functools import cache
from typing import Any

from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import loads
from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design


@cache
def joined() -> Design:
    """Four small lamps, fed and returned through splices."""
    return propose(design([lamp(quantity=4, rating=2.0)]), CATALOGUE).design


def with_loads(**values: Any) -> Design:
    rows = {
        uid: replace(each, **values) if each.kind == "load" else each
        for uid, each in joined().bridge.items()
    }
    return replace(joined(), bridge=rows)


def thick() -> Design:
    """One of the wires at a splice far thicker than before."""
    link = next(
        each
        for each in joined().link.values()
        if each.to_way_uid and joined().way[each.to_way_uid].contact == "splice"
    )
    return replace(joined(), link=joined().link | {link.uid: replace(link, csa_mm2=6.0)})


CASES = (
    Case("contact rating", lambda: loads(load_a=5.0), mended=True),
    Case("splice overloaded", lambda: with_loads(load_a=12.0), joined, mended=True),
    Case("splice too full", thick, joined, mended=True),
)
