"""A good request for each call, with its defaults left out, and those defaults."""

from typing import Any

WIRE = {"conductor": "iec60228-class5", "csa_mm2": 1.5}
GAUGE = {"conductor": "awg-stranded-tinned", "awg": 14}

GOOD: dict[str, dict[str, Any]] = {
    "resistance": WIRE | {"length_m": 10},
    "voltage-drop": WIRE | {"current_a": 10, "length_m": 5, "system_voltage_v": 12},
    "conductor-temperature": WIRE | {"current_a": 10, "ambient_c": 30},
    "ampacity": WIRE | {"ambient_c": 30, "limit_c": 70},
    "fuse": WIRE
    | {
        "load_a": 7,
        "run_m": 12,
        "system_voltage_v": 12,
        "supply_mohm": 10,
        "ambient_c": 30,
        "limit_c": 70,
    },
    "network": {
        "return": "bar",
        "supplies": [
            {
                "name": "battery",
                "positive": "post",
                "negative": "bar",
                "voltage_v": 12,
                "resistance_ohm": 0.1,
            }
        ],
        "wires": [{"name": "feed", "from": "post", "to": "lamp", "resistance_ohm": 0.1}],
        "loads": [{"name": "lamp", "from": "lamp", "to": "bar", "resistance_ohm": 2.2}],
    },
    "bundle": {"diameters_mm": [2, 2, 2]},
    "heat-shrink": {"passes_over_mm": 5, "grips_mm": 4, "covered_length_mm": 20},
    "crimp-pull": {"standard": "UL 486A", "awg": 16},
    "cut-plan": {
        "stock": [{"length_mm": 1000, "count": None}],
        "cuts": [{"length_mm": 400, "count": 5}],
    },
}

WIRE_DEFAULTS = {"finish": "plain", "insulation": "pvc"}
PLACE_DEFAULTS = {
    "altitude_m": 0,
    "bundle_wires": 1,
    "bundle_loaded_percent": 100,
    "covering": "none",
}
DEFAULTS: dict[str, dict[str, Any]] = {
    "resistance": WIRE_DEFAULTS | {"temperature_c": 20},
    "voltage-drop": WIRE_DEFAULTS | {"return_length_m": 0, "temperature_c": 20},
    "conductor-temperature": WIRE_DEFAULTS | PLACE_DEFAULTS,
    "ampacity": WIRE_DEFAULTS | PLACE_DEFAULTS,
    "fuse": WIRE_DEFAULTS
    | {
        "continuous": True,
        "inrush_a": 0,
        "inrush_s": 0,
        "fuse_kind": "blade-medium",
        "return_m": 0,
        "upstream_mohm": 0,
    },
    "heat-shrink": {"ratio": 2},
    "cut-plan": {"kerf_mm": 0, "keep_mm": 0, "time_limit_s": 5},
}
