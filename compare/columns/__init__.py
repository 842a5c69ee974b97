"""Many parts at once: the numbers of all parts in columns, every margin worked out for a whole column.

Doors: `part_columns.parts_to_columns` (parts → columns, made once), `judged.columns_to_judged` (columns and a
requirement → margin, verdict and basis of every part), `best.columns_to_best` (the best parts, readable, and
how many fit). Nothing here says anything of its own: each margin is that of `margins_*.py`, by the same
formulas, and tests/compare/columns holds the two against each other. A part whose numbers leave something to
settle (two values for one number, a disputed column, two reference ambients) is not put in columns but judged
by itself.
"""
