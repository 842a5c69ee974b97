"""Tables become readings: parts are named, conditions found, rows of all tables joined by part.

Door: `sheets.tables_to_drafts`.
"""
