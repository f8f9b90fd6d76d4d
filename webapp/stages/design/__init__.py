"""The design of a loom: rows as plain values, edits as journalled commands, wires, findings."""
