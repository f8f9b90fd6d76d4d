"""Edits of a design by hand: each is a function from a design to an Edit, saved as one command."""
