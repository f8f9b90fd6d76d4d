"""Engineering maths of a loom: pure functions of plain values, each answer with its reasons."""
