"""Needs that ask for twisted pairs, cables and screens, and what is proposed for them."""

from dataclasses import replace
from typing import Any

from tests.stages.design.need_lists import CATALOGUE, design
from webapp.stages.design.proposal import Proposal, propose
from webapp.stages.design.rows import Design, Link, Need, Place, Run


def need(uid: str, laid_as: str, **values: Any) -> Need:
    """A permanent load at the bow, fed from the helm."""
    own: dict[str, Any] = {
        "name": uid.capitalize(),
        "place_uid": "bow",
        "kind": "electronics",
        "rating": 1.0,
        "rating_unit": "A",
        "rated_at_v": 12.0,
        "control": "permanent",
    }
    return Need(uid=uid, laid_as=laid_as, **{**own, **values})


PAIR = need("pump", "twisted pair", kind="motor", rating=5.0)
SCREENED = need("echo", "screened cable")
CORES = need(
    "horn", "cable of cores", kind="resistive", rating=4.0, control="switch",
    control_place_uid="helm",
)  # fmt: skip


def asked(*needs: Need, plug: bool = False, **basis: Any) -> Design:
    """These needs, the fuse board at the helm; with `plug`, one half way to the bow."""
    values = {"fuse_board_place_uid": "helm", **basis}
    wanted = design(list(needs or (PAIR, SCREENED, CORES)), **values)
    if not plug:
        return wanted
    near = replace(wanted.run["r1"], uid="near", to_place_uid="mid", length_mm=1500)
    far = Run(uid="far", from_place_uid="mid", to_place_uid="bow", length_mm=500, covering="")
    return replace(
        wanted,
        basis=replace(wanted.basis, plug_place_uids=("mid",)),
        place={**wanted.place, "mid": Place(uid="mid", position=9, name="mid")},
        run={"r0": wanted.run["r0"], "near": near, "far": far},
    )


def proposed(*needs: Need, plug: bool = False, **basis: Any) -> Proposal:
    return propose(asked(*needs, plug=plug, **basis), CATALOGUE)


def links_in(made: Design, kind: str) -> list[Link]:
    """The links of the cables of a kind, by number."""
    of_kind = {uid for uid, cable in made.cable.items() if cable.kind == kind}
    mine = [link for link in made.link.values() if link.cable_uid in of_kind]
    return sorted(mine, key=lambda link: link.number)


LAID = proposed().design
PLUGGED = proposed(plug=True).design
