"""What the `bench` command measures, a module each; a new one is named in `MEASURES`."""

from webapp.bench import (
    browser_speed,
    cutting_speed,
    design_speed,
    network_speed,
    packing_speed,
    page_speed,
    tick_speed,
)

MEASURES = (
    design_speed,
    network_speed,
    cutting_speed,
    packing_speed,
    page_speed,
    browser_speed,
    tick_speed,
)


def run_all() -> int:
    """Print every measure as it is taken; returns the exit status."""
    for measure in MEASURES:
        print(measure.TITLE)
        for line in measure.lines():
            print(f"  {line}", flush=True)
    return 0
