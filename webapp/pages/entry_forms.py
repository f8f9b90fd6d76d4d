"""Reads what was typed for a place, a run, a need, or what the sizing rests on.

The entry tables and the import read alike, so that a cell is right or wrong in both.
"""

from collections.abc import Callable, Iterable
from typing import Any

from webapp.pages.forms import Form, tidy
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import basis, needs, runs
from webapp.stages.design.duty import NotADuty, duty_text, read_duty

MOST_NAME = 60
MOST_NOTE = 400
MOST_RADIUS_MM = 10_000
# The parts that a run may name, by their kinds.
RUN_PARTS = {"covering_part_uid": ("covering",), "through_part_uid": ("grommet", "gland")}
Reader = Callable[[Form], None]

LABELS = {
    "place": {"name": "Place", "note": "Note"},
    "run": {
        "from_place": "From",
        "to_place": "To",
        "length_mm": "Length",
        "plus_minus_mm": "Tolerance",
        "measured_how": "Measured with",
        "measured_by": "Measured by",
        "covering": "Covering",
        "surround_c": "Surroundings",
        "through": "Passes through",
        "covering_part_uid": "Covering part",
        "through_part_uid": "Grommet or gland",
        "bend_at_mm": "Tightest bend at",
        "bend_radius_mm": "Radius of the bend",
    },
    "need": {
        "name": "Need",
        "quantity": "How many",
        "place": "Where",
        "kind": "Kind",
        "rating": "Rating",
        "rating_unit": "Unit",
        "rated_at_v": "At V",
        "control": "Controlled by",
        "control_place": "Where the control sits",
        "duty": "Duty",
        "max_drop_percent": "Drop at most",
        "inrush_a": "Inrush",
        "inrush_s": "Inrush for",
        "max_fuse_a": "Fuse-link at most",
        "note": "Note",
        "service": "Service",
        "switched_with": "Switched with",
        "also_with": "Lit also with",
        "apart_from": "Must not fail together with",
        "second_place": "Override or other switch sits at",
        "relay_place": "Relay sits at",
        "live_when": "Live",
        "laid_as": "Laid as",
        "feeds": "Feeds side by side",
        "extra_sizes": "Sizes above the least",
        "before_isolator": "Before the isolator",
        "only_in_neutral": "Only in neutral",
        "own_lead": "Its own lead",
        "to_field_terminal": "To the field terminal",
    },
    "basis": {
        "supply_place": "The supply sits at",
        "isolator_place": "The isolator sits at",
        "fuse_board_place": "The fuse board sits at",
        "plug_places": "Plugs and sockets at",
        "battery": "Battery",
        "supply_mohm_new": "Its resistance, new",
        "supply_mohm_old_cold": "Its resistance, old and cold",
        "heat_at_v": "Heat at",
        "drop_at_v": "Drop at",
        "ambient_c": "Surroundings",
        "standard": "Currents by",
        "colour_code": "Colours by",
        "cable_kind": "Cable",
        "cable_finish": "Conductor",
        "insulation": "Insulation",
        "limit_c": "Limit printed on the cable",
        "min_section_mm2": "Thinnest conductor",
        "terminal_finish": "Terminals",
        "fuse_sharing": "Fuse-links",
    },
}
KINDS = (
    ("lamp", "filament lamp"),
    ("led", "LED lamp"),
    ("motor", "motor"),
    ("resistive", "coil or heater"),
    ("electronics", "electronics"),
    ("sender", "sender"),
    ("source", "source"),
)
LIVE_WHEN = (
    ("always", "always"),
    ("accessory", "key at accessory"),
    ("ignition", "key at ignition"),
    ("second battery", "from the second battery"),
)
# Lists with a first choice: they do not make a row of a need by themselves.
NEVER_EMPTY = ("live_when", "laid_as")
UNITS = (("W", "W"), ("A", "A"), ("ohm", "Ω"))
UNIT_SPELLINGS = {
    **dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), "A"),
    **dict.fromkeys(("w", "watt", "watts"), "W"),
    **dict.fromkeys(("ohm", "ohms", "ω", "r"), "ohm"),
}


def read_place(form: Form) -> None:
    """A place's name and note."""
    labels = LABELS["place"]
    _name(form, "name", labels["name"])
    form.text("note", labels["note"], most=MOST_NOTE, needed=False)


def read_run(form: Form, coverings: Iterable[str]) -> None:
    """A run as the needs page has it."""
    labels = LABELS["run"]
    for end in ("from_place", "to_place"):
        _name(form, end, labels[end])
    form.mm("length_mm", labels["length_mm"], least=1, most=runs.MOST_MM, needed=False)
    form.mm("plus_minus_mm", labels["plus_minus_mm"], most=runs.MOST_PLUS_MINUS_MM, needed=False)
    form.text("measured_how", labels["measured_how"], most=40, needed=False)
    _covering(form, coverings)
    _number(
        form, "run", "surround_c", unit="°C",
        least=runs.COLDEST_C, most=runs.HOTTEST_C, needed=False,
    )  # fmt: skip
    form.text("through", labels["through"], most=40, needed=False)


def read_whole_run(form: Form, coverings: Iterable[str], parts: Catalogue) -> None:
    """A run as the runs page and the import have it: also who measured, its parts and its bend."""
    read_run(form, coverings)
    labels = LABELS["run"]
    form.text("measured_by", labels["measured_by"], most=60, needed=False)
    for field, kinds in RUN_PARTS.items():
        form.choice(field, labels[field], [part.uid for part in parts.kind(*kinds)], needed=False)
    form.mm("bend_at_mm", labels["bend_at_mm"], most=runs.MOST_MM, needed=False)
    form.mm("bend_radius_mm", labels["bend_radius_mm"], least=1, most=MOST_RADIUS_MM, needed=False)


def _covering(form: Form, coverings: Iterable[str]) -> None:
    """One of those in the stores, however it is written."""
    form.text("covering", LABELS["run"]["covering"], most=40, needed=False)
    typed = str(form.values["covering"])
    known = {covering.casefold(): covering for covering in coverings}
    if typed.casefold() in ("", "none", "-"):
        form.values["covering"] = ""
    elif typed.casefold() in known:
        form.values["covering"] = known[typed.casefold()]
    else:
        names = ", ".join(known.values()) or "none yet"
        form.refuse(
            "covering", f"No covering “{typed}” is in the stores. Take one of: {names}; or add it."
        )


def read_need(form: Form) -> None:
    """A need. What may be left empty is filled in when it is saved."""
    labels = LABELS["need"]
    _name(form, "name", labels["name"])
    form.whole("quantity", labels["quantity"], least=1, most=needs.MOST_QUANTITY, needed=False)
    _name(form, "place", labels["place"])
    form.choice("kind", labels["kind"], needs.LOAD_KINDS)
    form.number("rating", labels["rating"], above=0)
    form.choice("rating_unit", labels["rating_unit"], needs.RATING_UNITS)
    form.number("rated_at_v", labels["rated_at_v"], unit="V", above=0, needed=False)
    form.text("control", labels["control"], most=60, needed=False)
    form.values["control"] = needs.known_control(form.values["control"])
    _duty(form)
    _number(
        form, "need", "max_drop_percent", unit="%",
        least=needs.LEAST_DROP_PERCENT, most=needs.MOST_DROP_PERCENT, needed=False,
    )  # fmt: skip
    for field, unit in (("inrush_a", "A"), ("inrush_s", "s"), ("max_fuse_a", "A")):
        form.number(field, labels[field], unit=unit, above=0, most=10_000, needed=False)
    form.text("note", labels["note"], most=MOST_NOTE, needed=False, lines=True)
    form.choice("service", labels["service"], needs.SERVICES, needed=False)
    for field in (*needs.OTHER_NEEDS, *needs.OTHER_PLACES):
        _name(form, field, labels[field], needed=False)
    form.choice("live_when", labels["live_when"], needs.LIVE_WHEN, needed=False)
    form.choice("laid_as", labels["laid_as"], needs.LAID_AS, needed=False)
    form.whole("feeds", labels["feeds"], least=1, most=needs.MOST_FEEDS, needed=False)
    form.whole(
        "extra_sizes", labels["extra_sizes"], least=0, most=needs.MOST_EXTRA_SIZES, needed=False
    )
    for flag in needs.FLAGS:
        form.yes(flag)


def _duty(form: Form) -> None:
    form.text("duty", LABELS["need"]["duty"], most=60, needed=False)
    try:
        form.values["duty"] = duty_text(*read_duty(form.values["duty"]))
    except NotADuty as why:
        form.refuse("duty", f"Duty {why}.")


def read_basis(form: Form) -> None:
    """What the sizing rests on."""
    labels = LABELS["basis"]
    for place in basis.PLACES:
        _name(form, place, labels[place], needed=False)
    form.text("plug_places", labels["plug_places"], most=400, needed=False)
    names = (tidy(name) for name in str(form.values["plug_places"]).replace(",", ";").split(";"))
    form.values["plug_places"] = [name for name in names if name]
    if any(len(name) > MOST_NAME for name in form.values["plug_places"]):
        form.refuse("plug_places", f"A place's name has at most {MOST_NAME} characters.")
    form.text("battery", labels["battery"], most=120, needed=False)
    for field in ("supply_mohm_new", "supply_mohm_old_cold"):
        form.number(field, labels[field], unit="mΩ", above=0, most=basis.MOST_MOHM)
    for field in ("heat_at_v", "drop_at_v"):
        form.number(field, labels[field], unit="V", above=0, most=1000)
    _number(form, "basis", "ambient_c", unit="°C", least=basis.COLDEST_C, most=basis.HOTTEST_C)
    _number(form, "basis", "limit_c", unit="°C", least=basis.LEAST_LIMIT_C, most=basis.MOST_LIMIT_C)
    _number(
        form, "basis", "min_section_mm2", unit="mm²",
        least=basis.LEAST_SECTION_MM2, most=basis.MOST_SECTION_MM2,
    )  # fmt: skip
    for field, options in CHOICES.items():
        form.choice(field, labels[field], [each for each, _ in options])


CHOICES: dict[str, tuple[tuple[str, str], ...]] = {
    "standard": basis.STANDARDS,
    "colour_code": basis.COLOUR_CODES,
    "cable_kind": basis.CABLE_KINDS,
    "cable_finish": basis.CABLE_FINISHES,
    "insulation": basis.CABLE_INSULATIONS,
    "terminal_finish": tuple((each, each) for each in basis.TERMINAL_FINISHES),
    "fuse_sharing": basis.FUSE_SHARING,
}


def _name(form: Form, field: str, label: str, needed: bool = True) -> None:
    """A name in one line, single blanks."""
    form.text(field, label, most=MOST_NAME, needed=needed)
    form.values[field] = " ".join(str(form.values[field]).split())


def _number(form: Form, table: str, field: str, **limits: Any) -> None:
    form.number(field, LABELS[table][field], **limits)
