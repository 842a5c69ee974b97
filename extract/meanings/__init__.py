"""Cells become meanings, by three witnesses: words, units, the trade's physics.

Door: `orientation.grid_to_table`: what each series of a grid holds, with its lead over the next best meaning.
Numbers, priors and weights are data: `priors.toml`.
"""
