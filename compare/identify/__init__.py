"""Which part is this on my bench? Measurements in, parts ranked by likelihood out.

Doors: `seen.read_seen` (a file of what was seen and measured), `ranking.parts_to_identification` (parts
ranked, parts excluded with the reason, the parts that cannot be told apart and the measurement that
separates them best). Never claims certainty: it knows only the parts it was given.
"""
