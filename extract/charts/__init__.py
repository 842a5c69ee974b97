"""The charts of a datasheet: where they stand, and the curves drawn in them.

Doors: `regions.page_to_chart_regions` (which boxes of a page are charts, and of what kind) and
`sheet_curves.sheet_with_curves` (a sheet's reading with its curves).

In reading order: `ink` (what is drawn and written on a page) → `wording` → `frames` (boxes with grid or
ticks) → `kinds` (what a chart shows) → `regions`, `numbers`, `axes` (the scales) → `outlines`, `pieces`,
`curves` → `naming`, `legend`, `labels` → `leaders`, `samples`, `assigning` → `chart`, `naming_curves`,
`tracing`, `reading`.
"""
