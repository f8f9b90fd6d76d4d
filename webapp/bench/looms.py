"""Random looms for checking the network's solution: alike from one seed to the next run."""

import random

from webapp.sizing.network import Load, Network, Supply, Wire


def random_loom(wires: int, seed: int) -> Network:
    """A battery, a charger, a branching loom with cross feeds, shared earths and loads.

    Args:
        wires: How many; from 10 up.
        seed: The same seed gives the same loom.
    """
    rng = random.Random(seed)
    supplies = (
        Supply("battery", "battery+", "battery-", 12.6, 0.008),
        Supply("charger", "charger+", "battery-", 14.2, 0.09),
    )
    made = [
        Wire("earth lead", "battery-", "earth", 0.0005),
        Wire("main feed", "battery+", "feed 0", 0.002),
        Wire("charging cable", "charger+", "battery+", 0.004),
    ]
    feeds, earths = ["feed 0"], ["earth"]
    ends: list[tuple[str, str]] = []
    while len(made) < wires - 1:
        kind = rng.random()
        ohm = rng.uniform(0.002, 0.04)
        if kind < 0.3:
            feeds.append(f"feed {len(feeds)}")
            _add(made, rng.choice(feeds[:-1][-8:]), feeds[-1], ohm / 8)
        elif kind < 0.4:
            earths.append(f"earth {len(earths)}")
            _add(made, earths[-1], rng.choice(earths[:-1]), ohm / 8)
        elif kind < 0.5 and len(feeds) > 2:
            one, other = rng.sample(feeds, 2)
            _add(made, one, other, ohm)
        else:
            ends.append((f"load {len(ends)}+", f"load {len(ends)}-"))
            _add(made, rng.choice(feeds), ends[-1][0], ohm)
            _add(made, ends[-1][1], rng.choice(earths), ohm)
    _add(made, feeds[-1], "battery+", rng.uniform(0.01, 0.04))
    # So many loads must share what the battery can give.
    share = min(1.0, 40 / max(1, len(ends)))
    loads = [
        _load(rng, place, *pair, scale=share * rng.uniform(0.2, 1.0))
        for place, pair in enumerate(ends)
    ]
    return Network("battery-", supplies, tuple(made[:wires]), tuple(loads))


def _add(wires: list[Wire], from_node: str, to_node: str, ohm: float) -> None:
    wires.append(Wire(f"wire {len(wires)}", from_node, to_node, ohm))


def _load(rng: random.Random, place: int, plus: str, minus: str, *, scale: float) -> Load:
    name = f"load {place}"
    kind = rng.choice(("current", "power", "resistance"))
    if kind == "current":
        return Load(name, plus, minus, current_a=5 * scale)
    if kind == "power":
        return Load(name, plus, minus, power_w=60 * scale)
    return Load(name, plus, minus, resistance_ohm=2.4 / scale)
