"""Money and time: what a loom costs to make, and what the customer pays. Pure; imports nothing of
ours.

Money is whole minor units (pence). Every line is rounded to the minor unit on its own, halves up
(`rounding.to_minor`, the only place), and every sum is the sum of rounded lines. Materials, labour
and the share of the set-up are counted for one unit; a batch costs so many times one unit. So what
is shown adds up to the last penny, on the screen and on the customer's paper.
"""
