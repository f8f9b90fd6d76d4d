"""The `bench` command: how fast the sums are, as ratios and times printed and never tested."""
