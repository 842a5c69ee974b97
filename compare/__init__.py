"""Requirement and parts become margins, a ranking and a workbook."""
