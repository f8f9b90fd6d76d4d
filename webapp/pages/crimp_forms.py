"""What is typed on the page of a crimp set-up: tool and lots, heights and pulls of spare pieces."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from webapp.pages.forms import Form
from webapp.stages.building import crimp_records
from webapp.stages.building.crimp_records import RefusedSample, SetUpValues
from webapp.stages.building.crimp_standing import Group
from webapp.stages.catalogue import CatalogPart
from webapp.stages.testing.first_off import FIRST, HEIGHT, LAST, PULL
from webapp.stages.testing.items import Item
from webapp.stages.testing.readings import VERDICTS, Measured

# Each form of the page has its own beginning of names.
NEW, WAIVE = "new-", "waive-"
NAMES = {HEIGHT: "Height", PULL: "Pull"}
MOST = {HEIGHT: 50.0, PULL: 1e5}
LABELS = {
    "tool": "Crimp tool",
    "die": "Die or nest",
    "wire_lot": "Wire lot",
    "terminal_lot": "Terminal lot",
}
Samples = list[Measured]


def address_of(key: str) -> str:
    """The key of a group as it stands in an address: tab-6.3~1.5"""
    return "~".join(key.rsplit("|", 1))


def key_of_address(address: str) -> str:
    """The key back; a key itself is taken too."""
    return address if "|" in address else "|".join(address.rsplit("~", 1))


def field_of(item: Item) -> str:
    """height_2"""
    kind, sample = item.uid.split(":")[-2:]
    return f"{kind}_{sample}"


def typed_of(form: Form, prefix: str) -> Form:
    """One of the forms of the page."""
    return Form(form.fields, prefix=prefix, errors=form.errors)


def filled(form: Form, group: Group, terminal: CatalogPart) -> Form:
    """What stands in the fields when nothing is typed: the last set-up and its instruments."""
    now = group.now.setup if group.now else None
    known = {
        "tool": now.tool if now else terminal.text("tool"),
        "die": now.die if now else "",
        "wire_lot": now.wire_lot if now else "",
        "terminal_lot": now.terminal_lot if now else "",
    }
    fields = {f"{NEW}{name}": value for name, value in known.items()}
    for used in group.used:
        for sample in (*used.setup.first.taken, *used.setup.last.taken):
            for prefix in (NEW, f"{FIRST}-", f"{LAST}-"):
                fields[f"{prefix}instrument_{sample.kind}"] = str(sample.instrument_id or "")
    return Form({**fields, **form.fields}, errors=form.errors)


def read_set_up(form: Form) -> None:
    for name, label in LABELS.items():
        form.text(name, label, most=crimp_records.LONGEST_NAME, needed=name == "tool")
    form.whole("seen", "The set-up that was seen", needed=False)
    form.text("remark", "The note", most=crimp_records.LONGEST_NOTE, needed=False)
    form.text("without_last", "The reason", most=crimp_records.LONGEST_NOTE, needed=False)


def set_up_values(form: Form) -> SetUpValues:
    return SetUpValues(**{name: form.values[name] for name in LABELS}, note=form.values["remark"])


def read_samples(form: Form, items: Iterable[Item], instruments: Mapping[str, str]) -> Samples:
    """The samples that something is typed for; what cannot be read stands beside its field."""
    found = []
    form.text("note", "The note", most=crimp_records.LONGEST_NOTE, needed=False)
    for item in items:
        name = field_of(item)
        kind, sample = name.split("_")
        label = f"{NAMES[kind]} {sample}"
        form.number(name, label, unit=item.unit, above=0, most=MOST[kind], needed=False)
        form.choice(f"{name}_verdict", label, VERDICTS, needed=False)
        value, verdict = form.values.get(name), form.values.get(f"{name}_verdict")
        if value is not None or verdict:
            found.append(Measured(item.uid, value=value, verdict=verdict or ""))
    kinds = {one.item_uid.rsplit(":", 2)[1] for one in found}
    for kind in NAMES:
        form.choice(f"instrument_{kind}", "The instrument", instruments, needed=kind in kinds)
    return [replace(one, note=form.values["note"]) for one in found]


def instruments_of(form: Form) -> dict[str, int | None]:
    chosen = {kind: form.values.get(f"instrument_{kind}") for kind in NAMES}
    return {kind: int(uid) if uid else None for kind, uid in chosen.items()}


def field_of_refusal(refused: RefusedSample) -> str:
    """The field of the page that a refusal of one sample belongs to."""
    kind, sample = refused.item_uid.split(":")[-2:]
    if refused.field == "instrument":
        return f"instrument_{kind}"
    return "note" if refused.field == "note" else f"{kind}_{sample}"
