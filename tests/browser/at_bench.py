"""A person at the bench tablet: opens the work list, taps, and looks into the journal."""

import time
from collections.abc import Iterable

from playwright.sync_api import Locator, Page, expect
from sqlalchemy import Engine, func, select

from tests.stages import launch, passing
from webapp.database import reading, writing
from webapp.records.bench import Tick
from webapp.stages.building import bench, units

# What can be touched; a box and its words are one target where the label holds it.
TARGETS = "a[href], button, select, textarea, summary, input:not([type=hidden]), label:has(input)"


def two_units(engine: Engine, *, set_up: bool = False) -> None:
    """The small launch at build in two units, 1 and 2; with its crimps set up if asked."""
    with writing(engine) as session:
        made = launch.signed_off(session)
        for unit_id in units.start(session, made.loom_id, made.person_id, "full"):
            if set_up:
                passing.set_up_crimps(session, made, unit_id)


def states(engine: Engine, unit_id: int) -> dict[str, str]:
    with reading(engine) as session:
        return {uid: now.state for uid, now in bench.state(session, unit_id).items()}


def number_of_ticks(engine: Engine) -> int:
    with reading(engine) as session:
        return session.scalar(select(func.count()).select_from(Tick)) or 0


def all_steps(engine: Engine, unit_id: int) -> set[str]:
    with reading(engine) as session:
        return set(units.plan_of(session, units.get(session, unit_id)).by_uid)


def wait_for(engine: Engine, unit_id: int, wanted: dict[str, str], wait_s: float = 8) -> None:
    """Until the server's journal says this and nothing else."""
    until = time.monotonic() + wait_s
    while states(engine, unit_id) != wanted and time.monotonic() < until:
        time.sleep(0.05)
    assert states(engine, unit_id) == wanted


def open_bench(tablet: Page, asked: str = "") -> None:
    tablet.goto(f"/units/1/bench?{asked}")
    tablet.wait_for_selector("[data-bench][data-ready]")


def step_of(tablet: Page, uid: str) -> Locator:
    return tablet.locator(f'#bench-part [data-step="{uid}"]')


def tap_next(tablet: Page) -> None:
    """One tap on the step that is next, until the page shows it done."""
    uid = tablet.locator("#bench-part [data-step].now").get_attribute("data-step") or ""
    step_of(tablet, uid).tap()
    expect(step_of(tablet, uid)).to_have_attribute("data-state", "done")


def tap_ready(tablet: Page, most: int) -> list[str]:
    """Taps what may be done on the panel in view, one after the other."""
    tapped = []
    ready = tablet.locator("#bench-part [data-step][data-state=todo]")
    while len(tapped) < most and ready.count():
        uid = ready.first.get_attribute("data-step") or ""
        step_of(tablet, uid).tap()
        expect(step_of(tablet, uid)).to_have_attribute("data-state", "done")
        tapped.append(uid)
    return tapped


def tap_through(tablet: Page, most: int) -> list[str]:
    """Goes on from panel to panel, tapping whatever may be done, up to so many steps."""
    tapped: list[str] = []
    while len(tapped) < most:
        tapped += tap_ready(tablet, most - len(tapped))
        on = tablet.locator("#bench-part a[data-on][data-turn]")
        if len(tapped) == most or not on.count():
            break
        key = tablet.locator("#bench-part").get_attribute("data-key") or ""
        on.tap()
        expect(tablet.locator("#bench-part")).not_to_have_attribute("data-key", key)
    return tapped


def boxes_below(page: Page, least_px: int) -> Iterable[str]:
    """What can be touched now and is smaller than that, with its size."""
    found: list[str] = page.evaluate(
        """([targets, least]) => {
            const seen = { visibilityProperty: true, opacityProperty: true };
            const inDialog = document.querySelector("dialog[open]");
            const touched = (one) =>
                one.checkVisibility(seen) &&
                (!inDialog || one.closest("dialog[open]")) &&
                !one.closest(".unseen, .skip") &&
                !(one.matches("input") && one.closest("label"));
            return [...document.querySelectorAll(targets)]
                .filter(touched)
                .map((one) => [one.outerHTML.slice(0, 120), one.getBoundingClientRect()])
                .filter(([, box]) => box.width && Math.min(box.width, box.height) < least)
                .map(([html, box]) => `${html} ${box.width} × ${box.height}`);
        }""",
        [TARGETS, least_px],
    )
    return found
