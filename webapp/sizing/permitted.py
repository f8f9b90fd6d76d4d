"""Current that a wire may carry: the lower of the named table and the heat balance, both shown."""

from dataclasses import dataclass
from functools import lru_cache

from webapp.sizing.capacity import Capacity, bundle_counts, capacity
from webapp.sizing.conductors import Conductor
from webapp.sizing.heat.ampacity import Ampacity, ampacity
from webapp.sizing.reasons import Reason, all_confirmed


@dataclass(frozen=True)
class Permitted:
    """`current_a` is the lower of the two; `table` and `balance` hold both with their reasons."""

    current_a: float
    table: Capacity
    balance: Ampacity
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind either figure."""
        return all_confirmed(self.reasons)


# A loom asks for the same few sizes in the same few runs again and again.
@lru_cache(maxsize=8192)
def permitted(
    wire: Conductor,
    *,
    standard: str,
    system_voltage_v: float,
    limit_c: float,
    ambient_c: float,
    bundle_wires: int = 1,
    bundle_loaded_percent: float = 100.0,
    bundle_heat_percent: float | None = None,
    covering: str = "none",
    altitude_m: float = 0.0,
    outside_diameter_mm: float | None = None,
) -> Permitted:
    """Current that the wire may carry for ever, by table and by heat.

    Args:
        wire, standard, limit_c, ambient_c, covering: as for `capacity`.
        system_voltage_v: Nominal voltage, for the standards that take bundles into account only
            from a certain one. [V]
        bundle_wires, bundle_loaded_percent: Wires in the bundle, this one counted, and the share of
            the bundle's whole capacity that is in use, for the table.
        bundle_heat_percent: Share of the other wires that counts as loaded like this one, for the
            heat balance; None takes `bundle_loaded_percent`. [%]
        altitude_m, outside_diameter_mm: as for `ampacity`.

    Returns:
        The lower of the two currents, and both with all their reasons.

    Raises:
        SizingError: a value out of range; a wire that the table does not hold; surroundings as hot
            as the insulation stands.

    Source: `capacity` and `ampacity`; taking the lower is this method's own rule.
    """
    counted = bundle_counts(standard, system_voltage_v)
    table = capacity(
        wire,
        standard=standard,
        limit_c=limit_c,
        ambient_c=ambient_c,
        bundle_wires=bundle_wires if counted else 1,
        bundle_loaded_percent=bundle_loaded_percent,
        covering=covering,
    )
    balance = ampacity(
        wire,
        limit_c=limit_c,
        ambient_c=ambient_c,
        altitude_m=altitude_m,
        bundle_wires=bundle_wires,
        bundle_loaded_percent=bundle_loaded_percent
        if bundle_heat_percent is None
        else bundle_heat_percent,
        covering=covering,
        outside_diameter_mm=outside_diameter_mm,
    )
    reasons = (*table.reasons, *balance.reasons)
    lower = Reason(
        text=f"The table gives {table.current_a:.3g} A and the heat balance "
        f"{balance.current_a:.3g} A; the lower holds.",
        name="permitted_a",
        value=min(table.current_a, balance.current_a),
        unit="A",
        formula="min(table_a, balance_a)",
        inputs={"table_a": table.current_a, "balance_a": balance.current_a},
        source="the named table and the heat balance",
        confirmed=all_confirmed(reasons),
    )
    return Permitted(lower.value, table, balance, (*reasons, lower))
