"""The ways in which a need can be controlled: the one list of them.

The forms offer it, the checks read what each asks for, the proposal lays out its pattern.
"""

from dataclasses import dataclass

from webapp.stages.design.names import key

ALWAYS, ACCESSORY, IGNITION, SECOND_BATTERY = (
    "always", "accessory", "ignition", "second battery",
)  # fmt: skip
LIVE_WHEN = (ALWAYS, ACCESSORY, IGNITION, SECOND_BATTERY)


@dataclass(frozen=True)
class Control:
    """One way of control.

    name: how it is typed and kept.
    pattern: which of the proposal's patterns lays it out (proposal/patterns/meeting.py).
    what: the sort of part that is worked, or that works by itself.
    in_earth: it switches the way back; the feed stays live.
    key_position: which position of the key switch feeds it.
    second: what sits at the second place, where one is asked for.
    second_needed: nothing can be proposed without the second place.
    companion: what the need that is switched with it is for, where one must be there.
    also: other words for it.
    """

    name: str
    pattern: str
    what: str = ""
    in_earth: bool = False
    key_position: str = ""
    second: str = ""
    second_needed: bool = False
    companion: str = ""
    also: tuple[str, ...] = ()


def _worked(what: str) -> tuple[Control, ...]:
    """What a contact can do: pass the current, pass a relay's, or switch the way back."""
    return (
        Control(what, "contact", what),
        Control(f"{what} via relay", "relay", what),
        Control(
            f"{what} in the earth", "contact", what, in_earth=True, also=(f"{what} in the return",)
        ),
    )


_ALL = (
    Control("permanent", "permanent"),
    *_worked("switch"),
    *_worked("push button"),
    Control("push button in the earth via relay", "relay", "push button", in_earth=True),
    *_worked("float switch"),
    Control(
        "float switch with manual override",
        "float with override",
        "float switch",
        second="manual override",
    ),
    *_worked("pressure switch"),
    *_worked("temperature switch"),
    Control("thermostat", "contact", "thermostat"),
    Control("thermostat via relay", "relay", "thermostat", also=("fan by thermostat",)),
    Control("brake lamp switch", "contact", "brake lamp switch"),
    Control("reverse lamp switch", "contact", "reverse lamp switch"),
    Control("door switches", "door switches", "door switch", second="other door switch"),
    Control(
        "two-way switches",
        "two-way",
        "change-over switch",
        second="other switch",
        second_needed=True,
        also=("two-way", "two-way switch", "two-way from two places"),
    ),
    Control("change-over switch", "change-over", "change-over switch", companion="other side"),
    Control(
        "switch and change-over switch",
        "change-over",
        "change-over switch",
        second="change-over switch",
        companion="other side",
        also=("switch and change-over",),
    ),
    Control(
        "flasher unit with left-right switch",
        "flasher",
        "left-off-right switch",
        companion="other side",
        also=("flasher unit", "flasher"),
    ),
    Control("diode fed", "diode fed"),
    Control("gauge", "gauge", also=("sender and gauge",)),
    Control("key switch accessory", "permanent", "key switch", key_position=ACCESSORY),
    Control("key switch ignition", "permanent", "key switch", key_position=IGNITION),
    Control("key switch ignition via relay", "relay", "key switch", key_position=IGNITION),
    Control("key switch start", "start", "key switch", key_position="start"),
    Control("key switch start via relay", "relay", "key switch", key_position="start"),
    Control("start solenoid", "starter"),
    Control("split charge relay", "split charge", also=("split charge",)),
    Control("dynamo with control box", "dynamo", also=("control box",)),
    Control("ammeter in the main feed", "ammeter", also=("ammeter",)),
    Control("self-parking switch", "self-parking", "wiper switch"),
)
CONTROLS = {control.name: control for control in _ALL}
_BY_WORDS = CONTROLS | {words: control for control in _ALL for words in control.also}
PERMANENT = "permanent"
# Switching lamps of its own: at the lamp's place the control needs no place of its own.
WITHOUT_PLACE = frozenset({PERMANENT, "diode fed"})


def control_of(words: str) -> Control | None:
    """The control that these words name, however they are spaced and written."""
    return _BY_WORDS.get(key(words))
