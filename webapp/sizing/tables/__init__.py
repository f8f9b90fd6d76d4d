"""The engineering tables that the calculations read, each row with its source.

The published values that the tests hold against these stand apart, in `seed_data/published`.
"""
