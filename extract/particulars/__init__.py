"""What else a sheet says of its parts: sizes, temperatures, endurance, approvals, packing, marking, status.

Doors: `sheet_particulars.sheet_with_particulars` (a sheet as read, with its particulars) and
`particulars_table` (the CSV). Works on the words of the pages, whichever reader reads the ratings.
"""
