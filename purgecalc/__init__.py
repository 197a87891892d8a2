"""purgecalc: design calculator for compressed-air purge cleaning of submerged water-quality probes."""

__version__ = "0.2.0"
