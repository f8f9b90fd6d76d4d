"""Currents of wires on small craft: the law's table and the metric one against the heat balance."""

from webapp.sizing.conductors import SOLID_AWG, conductor
from webapp.sizing.heat.compare import current_against
from webapp.stages.method.currents import ALLOWS_MORE, listed_wire
from webapp.stages.method.published import Row, gauge, rows
from webapp.stages.method.subject import Held, Subject, held

SOLID_AT = "solid copper of the gauge's section in ETFE, alone in still air at {} °C"


def fitted_table() -> list[Subject]:
    """33 CFR 183.425: the span that the surface was fitted to, and the rest."""
    return [_small_craft(), _small_craft_rest()]


def other_tables() -> list[Subject]:
    return [_engine_space(), _iso_10133()]


def _small_craft() -> Subject:
    return Subject(
        slug="small-craft",
        title="Small craft, 75 to 125 °C, from 20 A: 33 CFR 183.425",
        unit="A",
        model=SOLID_AT.format(30),
        plus=ALLOWS_MORE,
        within=10,
        rows=[_craft(row) for row in _outside_engine_space() if _in_span(row)],
        basis="What lies far off is AWG 14 to 10 at 75 and 80 °C: the table gives AWG 18 to 10 "
        "no more at 75 °C than at 60 °C, so these rows follow something else than heat.",
    )


def _small_craft_rest() -> Subject:
    return Subject(
        slug="small-craft-rest",
        title="Small craft, the rest of the table: 33 CFR 183.425",
        unit="A",
        model=SOLID_AT.format(30),
        plus=ALLOWS_MORE,
        within=10,
        rows=[_craft(row) for row in _outside_engine_space() if not _in_span(row)],
        basis="Thin wire at 75 °C stands as at 60 °C in the table. Its 200 °C column lies little "
        "above its 125 °C column, much less than the heat of the wire would allow: likely for what "
        "the wire ends at.",
    )


def _engine_space() -> Subject:
    listed = rows("small_craft_ampacity", location="engine space, 50 C (factor 0.85)")
    return Subject(
        slug="engine-space",
        title="Small craft, engine space at 50 °C: 33 CFR 183.425",
        unit="A",
        model=SOLID_AT.format(50),
        plus=ALLOWS_MORE,
        within=10,
        rows=[_craft(row, 50) for row in listed],
        basis="The 30 °C column times 0.85, rounded to whole amperes, some of them down.",
    )


def _iso_10133() -> Subject:
    listed = rows("small_craft_ampacity", location="single conductor, 30 C")
    return Subject(
        slug="small-craft-metric",
        title="Small craft, metric table: ISO 10133",
        unit="A",
        model="vehicle cable of the section, alone in still air at 30 °C; of 85 to 90 °C the lower",
        plus=ALLOWS_MORE,
        within=15,
        rows=[_craft(row) for row in listed],
        basis="The 60 °C column stands far below the 70 °C column, further than ten degrees "
        "explain, and the 200 °C column little above that of 125 °C. All of it is from memory: "
        "hold it against the standard before blaming either.",
    )


def _outside_engine_space() -> list[Row]:
    return rows("small_craft_ampacity", location="outside engine space, 30 C")


def _in_span(row: Row) -> bool:
    return 75 <= float(row["insulation_temp_c"]) <= 125 and float(row["i_max_a"]) >= 20


def _craft(row: Row, ambient_c: float = 30) -> Held:
    limit_c = float(row["insulation_temp_c"].split()[0])
    wire = conductor(SOLID_AWG, awg=gauge(row["awg"])) if row["awg"] else listed_wire(row)
    values = current_against(wire, float(row["i_max_a"]), ambient_c=ambient_c, limit_c=limit_c)
    return held(f"{wire.label} to {limit_c:g} °C", row, values)
