"""Pages that are pictures: recognised twice, then read like any other page.

Doors: `page_to_scanned` (recognised.py) gives the content of a picture page, its text for triage and what the
second recogniser reads; `readings_to_judged` (judged.py) holds each reading of such a page against both.
Promise: nothing of a picture page is `agreed` unless two recognisers that share nothing read the same digits.
"""
