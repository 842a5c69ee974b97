"""The charts of a datasheet: where they stand, and the curves drawn in them.

Doors: `regions.page_to_chart_regions` (which boxes of a page are charts, and of what kind).

In reading order: `ink` (what is drawn and written on a page) → `frames` (boxes with grid or ticks) →
`kinds` (what a chart shows) → `regions`.
"""
