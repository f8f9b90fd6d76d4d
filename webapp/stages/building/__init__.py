"""Building: units, work steps, the bench journal, the cut list, and the gate to test."""
