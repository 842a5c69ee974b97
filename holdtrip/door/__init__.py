"""The public door for Python: sheets, typed tables and comparisons as objects with data frames."""
