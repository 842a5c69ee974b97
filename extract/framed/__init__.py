"""Tables that a person framed on the page of a datasheet: frames, how the model would take one, its readings.

Doors: `proposal.document_to_proposal` and `tables.document_to_framed`. A framed number goes the way of any
other: its ink, another reader's digits, then (by the caller) contradictions and checks.
"""
