"""Cells become meanings, by three witnesses: words, units, the trade's physics.

Doors: `tables.grid_to_tables` (what each series of a grid holds, with its lead over the next best meaning)
and `naming`. Numbers, priors and weights are data: `priors.toml`.
"""
