"""Shop arithmetic: sand, gating, freezing, melt, pattern and money. Values in, values out."""
