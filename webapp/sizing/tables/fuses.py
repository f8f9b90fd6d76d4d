"""Fuse-links: ratings, rated voltage, breaking capacity and time-current gates."""

from dataclasses import dataclass

from webapp.sizing.reasons import Source, from_memory


@dataclass(frozen=True)
class Gate:
    """At this share of its rating the fuse-link opens no sooner and no later than this."""

    percent: float
    shortest_s: float | None
    longest_s: float | None
    confirmed: bool = False


@dataclass(frozen=True)
class FuseKind:
    """A family of fuse-links. `ratings_remembered` holds ratings not seen in print."""

    id: str
    title: str
    ratings_a: tuple[float, ...]
    rated_voltage_v: float
    breaking_capacity_a: float
    limits_source: Source
    gates: tuple[Gate, ...]
    gates_source: str
    ratings_source: Source
    ratings_remembered: frozenset[float] = frozenset()


_HUNDRED_HOURS_S = 360_000
_FOUR_HOURS_S = 14_400
_ONE_HOUR_S = 3_600
_ISO_8820_3 = Source("ISO 8820-3:2015, scope: 32 V, up to 100 A, breaking capacity 1000 A")
_BLADE_COLOURS = Source("ISO 8820-3 ratings, as listed with their colours")

FUSE_KINDS: dict[str, FuseKind] = {
    each.id: each
    for each in (
        FuseKind(
            id="blade-mini",
            title="Miniature blade fuse-link (ISO 8820-3 type F)",
            ratings_a=(2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30),
            rated_voltage_v=32,
            breaking_capacity_a=1000,
            limits_source=_ISO_8820_3,
            gates=(
                Gate(110, _HUNDRED_HOURS_S, None),
                Gate(135, 0.75, 600),
                Gate(200, 0.15, 5),
                Gate(350, 0.08, 0.25),
                Gate(600, 0.03, 0.1),
            ),
            gates_source="ISO 8820-3 type F time-current table",
            ratings_source=_BLADE_COLOURS,
        ),
        FuseKind(
            id="blade-medium",
            title="Blade fuse-link (ISO 8820-3 type C)",
            ratings_a=(1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40),
            rated_voltage_v=32,
            breaking_capacity_a=1000,
            limits_source=_ISO_8820_3,
            gates=(
                Gate(110, _HUNDRED_HOURS_S, None),
                Gate(135, 0.75, 600),
                Gate(160, 0.25, 50, confirmed=True),
                Gate(200, 0.15, 5, confirmed=True),
                Gate(350, 0.04, 0.5),
                Gate(600, 0.02, 0.1),
            ),
            gates_source="ISO 8820-3 type C time-current table",
            ratings_source=_BLADE_COLOURS,
            ratings_remembered=frozenset({35}),
        ),
        FuseKind(
            id="blade-high-current",
            title="Large blade fuse-link (ISO 8820-3 type E)",
            ratings_a=(20, 25, 30, 35, 40, 50, 60, 70, 80, 100),
            rated_voltage_v=32,
            breaking_capacity_a=1000,
            limits_source=_ISO_8820_3,
            gates=(
                Gate(110, _HUNDRED_HOURS_S, None),
                Gate(135, 60, 1800),
                Gate(200, 2, 60),
                Gate(350, 0.2, 7),
                Gate(600, 0.04, 1),
            ),
            gates_source="ISO 8820-3 type E time-current table",
            ratings_source=from_memory("ISO 8820-3 type E ratings"),
        ),
        FuseKind(
            id="bolt-down",
            title="Bolt-down strip fuse-link (ISO 8820-5)",
            ratings_a=(
                *(30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250),
                *(300, 350, 400, 450, 500),
            ),
            rated_voltage_v=32,
            breaking_capacity_a=2000,
            limits_source=from_memory("ISO 8820-5: 32 V, breaking capacity 2000 A"),
            gates=(
                Gate(110, _FOUR_HOURS_S, None),
                Gate(135, 120, 1800),
                Gate(200, 1, 15),
                Gate(350, 0.3, 5),
                Gate(600, 0.1, 1),
            ),
            gates_source="ISO 8820-5 time-current table",
            ratings_source=from_memory("ISO 8820-5 ratings"),
        ),
        FuseKind(
            id="class-t",
            title="High-breaking fuse-link (UL 248-15 class T)",
            ratings_a=(
                *(30, 40, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250),
                *(300, 350, 400),
            ),
            rated_voltage_v=125,
            breaking_capacity_a=20_000,
            limits_source=from_memory("UL 248-15 class T on d.c.: 125 V, 20 kA"),
            gates=(
                Gate(110, _FOUR_HOURS_S, None),
                Gate(135, None, 7200),
                Gate(200, None, 600),
            ),
            gates_source="UL 248-15 time-current limits",
            ratings_source=from_memory("UL 248-15 ratings"),
        ),
        FuseKind(
            id="cartridge-10x38",
            title="Cartridge fuse-link 10 × 38 mm for d.c. (IEC 60269-6 gPV)",
            ratings_a=(1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 16, 20, 25, 30),
            rated_voltage_v=1000,
            breaking_capacity_a=10_000,
            limits_source=from_memory("IEC 60269-6: at least 10 kA d.c.; size 10 × 38 to 1000 V"),
            gates=(
                Gate(113, _ONE_HOUR_S, None),
                Gate(145, None, _ONE_HOUR_S),
            ),
            gates_source="IEC 60269-6 gPV conventional currents: 1.13 × and 1.45 ×, one hour",
            ratings_source=from_memory("IEC 60269-6 ratings in size 10 × 38"),
        ),
        FuseKind(
            id="glass",
            title="Glass cartridge fuse-link (SAE J554)",
            ratings_a=(1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30),
            rated_voltage_v=32,
            breaking_capacity_a=1000,
            limits_source=from_memory("SAE J554: 32 V, breaking capacity 1000 A"),
            gates=(
                Gate(110, _FOUR_HOURS_S, None),
                Gate(135, None, 3600),
                Gate(200, None, 10),
            ),
            gates_source="SAE J554 time-current limits",
            ratings_source=from_memory("SAE J554 ratings"),
        ),
    )
}
