"""Loomwright: quote, design, build and test wiring looms."""
