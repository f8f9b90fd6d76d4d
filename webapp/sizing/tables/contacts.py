"""Derating of switch contacts: nominal rating over the load's lasting current."""

from webapp.sizing.reasons import Source

DERATING_SOURCE = Source("AC 43.13-1B (1998) Table 11-4")
UP_TO_V = 14.0
DERATING_12_V: dict[str, float] = {"lamp": 5.0, "inductive": 2.0, "resistive": 1.0, "motor": 2.0}
DERATING_28_V: dict[str, float] = {"lamp": 8.0, "inductive": 4.0, "resistive": 2.0, "motor": 3.0}
# Which row a load belongs to; that LEDs with drivers and electronics go as resistive is common
# practice.
LOAD_ON_CONTACT: dict[str, str] = {
    "lamp": "lamp",
    "motor": "motor",
    "coil": "inductive",
    "resistive": "resistive",
    "led": "resistive",
    "electronics": "resistive",
    "sender": "resistive",
    "source": "resistive",
}
