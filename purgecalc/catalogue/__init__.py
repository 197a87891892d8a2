"""Data with an origin for every entry: probes, hoses, fittings."""
