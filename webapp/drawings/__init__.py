"""SVG drawings of looms and their parts, made from plain values."""
