"""Temperature and capacity of wires from a heat balance, alone, bundled, covered, for a time."""
