"""Testing: the plan from the design, readings, and the gate to done."""
