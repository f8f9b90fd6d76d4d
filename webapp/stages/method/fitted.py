"""The constants of the heat balance that were fitted to published values."""

from dataclasses import dataclass

from webapp.sizing.tables import heat


@dataclass(frozen=True)
class Constant:
    """One fitted constant, its unit (empty for a bare number) and what it was fitted to."""

    name: str
    value: float
    unit: str
    source: str


FITTED = (
    Constant("emissivity of insulation", heat.EMISSIVITY, "", heat.FITTED_SURFACE.text),
    Constant(
        "Rayleigh number up to which Morgan's convection holds alone",
        heat.MORGAN_UP_TO_RAYLEIGH,
        "",
        heat.FITTED_SURFACE.text,
    ),
    Constant(
        "Rayleigh number from which that of Churchill and Chu holds alone",
        heat.CHURCHILL_CHU_FROM_RAYLEIGH,
        "",
        heat.FITTED_SURFACE.text,
    ),
    Constant("conductivity of a bundle", heat.BUNDLE_W_PER_MK, "W/(m K)", heat.FITTED_BUNDLE.text),
)
