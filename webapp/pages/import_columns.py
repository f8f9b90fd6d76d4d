"""What each column of a list holds, told beside the box, and empty lists to fill in."""

from functools import cache

from webapp.pages import entry_forms
from webapp.stages.design.csv_out import NEED_COLUMNS, RUN_COLUMNS, table_text
from webapp.stages.design.imports import FACTS, KINDS, NEEDS, RUNS, WIRES, ListKind, spellings
from webapp.stages.design.wire_list.lines import COLUMNS as WIRE_COLUMNS
from webapp.stages.design.wire_list.lines import LABELS as WIRE_LABELS
from webapp.stages.part_list import list_kind

UID = "which row it is; keep it as it came out, leave it empty for a new one"
TOLD: dict[str, tuple[tuple[str, str], ...]] = {
    NEEDS.id: (
        ("need, place, kind, rating", "needed: what it is called, where it sits, lamp, led, motor, "
         "resistive, electronics, sender or source, and its figure"),
        ("quantity, rating_unit, rated_at_v", "how many; A, W or ohm; at how many volts"),
        ("control, control_place, relay_place", "what it works by, where that sits, where its "
         "relay sits"),
        ("second_place", "where the override or the other switch sits"),
        ("switched_with, also_with, apart_from", "another need, by its name: on the same switch; "
         "lights this one too, through diodes; must not fail together with it"),
        ("live_when", "always, accessory, ignition or second battery"),
        ("laid_as", "single wires, twisted pair, cable of cores or screened cable"),
        ("duty, max_drop_percent, inrush_a, inrush_s, max_fuse_a", "10 s on, 60 s off; the most "
         "drop; what it draws at first and for how long; the most that its fuse-link may be"),
        ("feeds, extra_sizes", "feeds side by side; sizes above the least that would do"),
        ("before_isolator, only_in_neutral, own_lead, to_field_terminal", "yes or no"),
        ("service, note", "what it is for, which gives its colour; anything else"),
        ("uid", UID),
    ),
    RUNS.id: (
        ("from_place, to_place", "needed: the two places that it joins"),
        ("length_mm, plus_minus_mm", "3520 or 3.52 m, and how far off it may be"),
        ("measured_by, by_whom", "tape, string, drawing; and the person"),
        ("covering, covering_part", "what covers it, and which part of the stores"),
        ("surround_c", "how warm its surroundings get, °C"),
        ("through, through_part", "grommet or gland, and which part of the stores"),
        ("bend_at_mm, bend_radius_mm", "its tightest bend: how far from the first place, and the "
         "radius inside it"),
        ("uid", UID),
    ),
    WIRES.id: (
        ("from_fitting, from_way, to_fitting, to_way", "needed, unless the end is left loose: "
         "Horn relay and 87, or both in one cell: Horn relay · 87"),
        ("from_place, to_place", "where the fitting sits, or where the end is left loose"),
        ("number", "12; 12A and 12B where a plug cuts wire 12; empty takes the next free one"),
        ("circuit, circuit_number, service", "needed for a new wire: the circuit's name. One that "
         "is not there is made"),
        ("route", "battery box > helm > bow; empty takes the shortest way"),
        ("section_mm2, or awg", "2.5, or AWG 14; empty takes the thinnest that is enough"),
        ("main, tracer", "by letters or name; empty takes the next free pair"),
        ("cable_part", "a cable of the stores, by name or uid; else the section decides"),
        ("length_by_hand_mm", "only where it was set by hand; the runs measure the others"),
        ("starter_cable, own_lead", "yes or no"),
        ("cable, cable_kind, cable_of_part, core", "which cable it is a core of, what that is, its "
         "part of the stores, and which core"),
        ("from_terminal, from_heat_shrink and the like", "parts of the stores, or none; empty on a "
         "new line has them chosen"),
        ("from_strip_mm, from_heat_shrink_mm, from_allowance_mm, from_loose_mm, from_solder, "
         "from_tag", "how the end is made"),
        ("from_contact", "only for a way of a fitting that is made: tab 6.3, stud M6"),
        ("uid", UID + ". With one, an empty cell means nothing there"),
    ),
    FACTS.id: (
        ("field, value", "a line each for supply_place, isolator, plug_and_socket_at, battery, "
         "heat_at_v, drop_at_v, ambient_c, colour_code, cable and the like"),
    ),
    "parts": (
        ("name, kind", "needed for a new part; kinds are those of the stores' page"),
        ("price, or price_minor", "12.50, or 1250 in the smallest coin"),
        ("price_per, price_unit, price_note", "for how many; each or m; a note on it"),
        ("csa_mm2, contact, ways and the like", "the facts of its kind, named as in the list that "
         "comes out; a fact that the kind does not have stays empty"),
        ("source, confirmed, stocked", "the document; whether the facts were seen in it; whether "
         "it is kept: yes or no"),
        ("uid", "which part it is; without one the name says it"),
    ),
}  # fmt: skip


# The columns of a table as its page shows them, for a paste that does not name its own.
USUAL = {
    NEEDS.id: "name quantity place kind rating rating_unit rated_at_v control control_place",
    RUNS.id: "from_place to_place length_mm plus_minus_mm measured_how covering surround_c through",
    WIRES.id: "number from_fitting from_way to_fitting to_way section_mm2 main tracer",
}


def usual_columns(what: str) -> list[str]:
    """The fields of a table's columns, in order."""
    return USUAL[what].split() if what in USUAL else []


@cache
def list_names(what: str) -> str:
    """Every name by which a list's columns are known, for the page to tell a first line by."""
    kind = KINDS[what] if what in KINDS else list_kind(())
    return "|".join(spellings(kind))


def columns_of(kind: ListKind) -> tuple[tuple[str, str], ...]:
    """Columns of a list, each with what it holds."""
    return TOLD[kind.id]


def fields_of(kind: ListKind) -> list[tuple[str, str]]:
    """What a column may be taken for, with its name on the pages."""
    labels = {
        NEEDS.id: entry_forms.LABELS["need"],
        RUNS.id: entry_forms.LABELS["run"],
        WIRES.id: WIRE_LABELS,
    }.get(kind.id, {})
    return [(field, labels.get(field, field)) for field in kind.columns]


def empty_list(kind: ListKind) -> str:
    """A list that only names its columns."""
    headers = {
        NEEDS.id: tuple(name for name in NEED_COLUMNS if name != "uid"),
        RUNS.id: tuple(name for name in RUN_COLUMNS if name != "uid"),
        WIRES.id: WIRE_COLUMNS,
        FACTS.id: ("field", "value"),
    }
    return table_text(headers.get(kind.id, tuple(kind.columns)), ())
