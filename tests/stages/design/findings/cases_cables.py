"""Cases of the rules about cables of several cores, pairs and screens."""

from dataclasses import replace
from typing import Any

from tests.stages.design.findings.case import Case
from tests.stages.design.laid import LAID, links_in
from webapp.stages.design.cables import CORES, SCREEN, SCREENED, TWISTED
from webapp.stages.design.rows import Design


def a_link(kind: str, at: int = 0, **values: Any) -> Design:
    """One wire of the cable of a kind with these values."""
    link = replace(links_in(LAID, kind)[at], **values)
    return replace(LAID, link={**LAID.link, link.uid: link})


def on_another_run() -> Design:
    """One core by another run between the same places."""
    other = replace(LAID.run["r1"], uid="r2")
    made = a_link(CORES, route=("r2",))
    return replace(made, run={**made.run, "r2": other})


def no_part() -> Design:
    uid = links_in(LAID, CORES)[0].cable_uid or ""
    return replace(LAID, cable={**LAID.cable, uid: replace(LAID.cable[uid], part_uid=None)})


def screen_at_both_ends() -> Design:
    _, back, screen = links_in(LAID, SCREENED)
    assert screen.core == SCREEN
    return a_link(SCREENED, 2, to_way_uid=back.from_way_uid)


def screen_on_a_feed() -> Design:
    feed, _, screen = links_in(LAID, SCREENED)
    assert screen.core == SCREEN
    return a_link(SCREENED, 2, from_way_uid=feed.from_way_uid)


def a_third_in_a_pair() -> Design:
    pair = links_in(LAID, TWISTED)[0].cable_uid
    return a_link(CORES, cable_uid=pair, core="")


CASES = (
    Case("cores part", on_another_run, lambda: LAID),
    Case("cable not chosen", no_part, lambda: LAID),
    Case("core taken twice", lambda: a_link(CORES, core="black"), lambda: LAID),
    Case("core section", lambda: a_link(CORES, csa_mm2=4.0), lambda: LAID),
    Case("screen earthed once", screen_at_both_ends, lambda: LAID),
    Case("screen on a feed", screen_on_a_feed, lambda: LAID),
    Case("pair not two", a_third_in_a_pair, lambda: LAID),
)
