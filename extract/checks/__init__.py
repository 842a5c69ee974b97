"""Checks: what cannot be, or hardly can be, among the numbers of a sheet or a typed table.

Comes in: readings. Goes out: findings; a finding never changes a number. The walk: numbers.py (one
part as the rules see it), single, order, ratios, derating, part_codes, neighbours (the rules),
rules.py (all of them, run), findings.py. Codes stand in codes.py, each with a page in pages/; limits
and their evidence in limits.toml. How to add a rule: see rules.py.
"""

from extract.checks.codes import CODES, Code, code_to_page
from extract.checks.findings import readings_to_findings

__all__ = ["CODES", "Code", "code_to_page", "readings_to_findings"]
