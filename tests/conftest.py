"""For all tests: the width of whoever runs them is nobody's business."""

import os

# Workers of a parallel run are given the width of the terminal, which would fold tables into lines.
os.environ.pop("COLUMNS", None)
