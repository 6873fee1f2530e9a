"""What the trade knows: defects, causes, signs, places, limits, cautions and sources, read from TOML files."""
