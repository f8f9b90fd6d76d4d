import pytest

from webapp.stages.design.import_notes import NamedNote, service_of, understand
from webapp.stages.design.needs import SERVICES


@pytest.mark.parametrize(
    ("name", "kind", "service"),
    [
        ("Horn", "motor", "horn"),
        ("Bilge pump", "motor", "pump"),
        ("Windscreen wiper", "motor", "wiper"),
        ("Engine blower", "motor", "blower"),
        ("Port and starboard bow lamp", "lamp", "navigation"),
        ("All-round white lamp", "lamp", "navigation"),
        ("Masthead light", "led", "navigation"),
        ("Cabin lamps", "led", "cabin lamps"),
        ("Instrument lamps", "lamp", "instrument"),
        ("Searchlight", "lamp", "search lamp"),
        ("VHF radio", "electronics", "radio"),
        ("Starter motor", "motor", "start"),
        ("Starboard pump", "motor", "pump"),
        ("Stop solenoid", "resistive", "engine stop"),
        ("Stop lamp", "lamp", "stop lamp"),
        ("Charge warning lamp", "lamp", "charge"),
        ("Fuel level sender", "sender", "fuel sender"),
        ("Accessory socket", "resistive", "accessory"),
        ("Chart lamp", "lamp", "lamp"),
        ("Depth sounder", "electronics", "other"),
    ],
)
def test_the_name_gives_the_service(name: str, kind: str, service: str) -> None:
    assert service_of(name, kind) == service
    assert service in SERVICES


def meaning(note: str, kind: str = "motor", *others: str) -> dict[str, object]:
    listed = [NamedNote("This", kind, note), *(NamedNote(name) for name in others)]
    return dict(understand(listed)[0].values)


@pytest.mark.parametrize(
    ("note", "values"),
    [
        ("only in neutral (gearbox switch)", {"only_in_neutral": True}),
        ("not only in neutral", {}),
        ("before the isolator with its own fuse-link", {"before_isolator": True}),
        ("not before the isolator", {}),
        ("override at the helm; spare fuse", {"second_place": "helm"}),
        ("its own lead is laid in uncut", {"own_lead": True}),
        ("to the alternator's field terminal", {"to_field_terminal": True}),
        ("a plain note", {}),
        ("", {}),
    ],
)
def test_phrases_of_a_note(note: str, values: dict[str, object]) -> None:
    assert meaning(note) == values


def test_led_says_the_kind_of_a_lamp_only() -> None:
    assert meaning("LED", "lamp") == {"kind": "led"}
    assert meaning("LED", "motor") == {}
    assert meaning("sealed", "lamp") == {}


def test_the_same_switch_names_the_other_need() -> None:
    found = meaning("same switch as the bow lamp", "lamp", "Bow lamp", "Stern lamp")
    assert found == {"switched_with": "Bow lamp"}


def test_two_names_are_one_answer_when_they_share_a_switch() -> None:
    listed = [
        NamedNote("Bow lamp"),
        NamedNote("Stern lamp", note="same switch as the bow lamp"),
        NamedNote("Instrument lamps", note="on with the bow and stern lamps"),
    ]
    assert understand(listed)[2].values == {"switched_with": "Bow lamp"}


def test_an_ambiguous_phrase_is_said_and_left_open() -> None:
    listed = [
        NamedNote("Bow lamp, port"),
        NamedNote("Bow lamp, starboard"),
        NamedNote("Stern lamp", note="same switch as the bow lamp"),
    ]
    meant = understand(listed)[2]
    assert meant.values == {}
    assert "“Bow lamp, port” or “Bow lamp, starboard”" in meant.unclear[0]


def test_a_phrase_that_names_nothing_is_said() -> None:
    meant = understand([NamedNote("Stern lamp", note="same switch as the masthead lamp")])[0]
    assert meant.values == {}
    assert "no need of this loom is called so" in meant.unclear[0]


def test_needs_of_the_loom_are_known_too_and_a_circle_ends() -> None:
    listed = [NamedNote("Stern lamp", note="on with the bow lamp")]
    assert understand(listed, [NamedNote("Bow lamp")])[0].values == {"switched_with": "Bow lamp"}
    circle = [
        NamedNote("Bow lamp", note="on with the stern lamp"),
        NamedNote("Stern lamp", note="on with the bow lamp"),
    ]
    assert len(understand(circle)) == 2
