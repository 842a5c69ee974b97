"""The local web page: datasheet pages beside what was read, corrections, comparisons, checks.

Comes in: HTTP requests. Goes out: pages, pictures, JSON. Has no logic of its own: it calls what the
commands call. The walk: options (what may be served to whom), guard (who may ask), desk (what is open),
then one module for each thing shown, and site, which puts them together.
"""
