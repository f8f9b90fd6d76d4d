"""The ways in which a need can be controlled: what the forms offer and the proposal lays out."""

from dataclasses import dataclass

from webapp.stages.design.names import key


@dataclass(frozen=True)
class Control:
    """One way of control.

    name: how it is typed and kept.
    pattern: which of the proposal's patterns lays it out.
    what: the sort of part that is worked or works by itself.
    """

    name: str
    pattern: str
    what: str = ""


CONTROLS = {
    control.name: control
    for control in (
        Control("permanent", "permanent"),
        Control("switch", "contact", "switch"),
        Control("switch via relay", "relay", "switch"),
        Control("push button", "contact", "push button"),
        Control("push button via relay", "relay", "push button"),
        Control("float switch", "contact", "float switch"),
        Control("float switch with manual override", "float with override", "float switch"),
        Control("pressure switch", "contact", "pressure switch"),
        Control("thermostat", "contact", "thermostat"),
        Control("key switch ignition", "ignition", "key switch"),
        Control("key switch start", "start", "key switch"),
        Control("start solenoid", "starter"),
        Control("self-parking switch", "self-parking", "wiper switch"),
    )
}
PERMANENT = "permanent"


def control_of(words: str) -> Control | None:
    """The control that these words name, however they are spaced and written."""
    return CONTROLS.get(key(words))
