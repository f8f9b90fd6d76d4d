"""Wires as a list, a line a wire: out to a spreadsheet, and back in through the rules of typing.

A link that plugs cut is a line for each of its wires. `uid` names the wire of a line; a line with
one is taken as it stands, an empty cell too. A line without is a new wire: what it leaves empty is
chosen as for a wire that is typed by hand.
"""
