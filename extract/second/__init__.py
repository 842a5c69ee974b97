"""A second opinion on every value: which digits, row label and heading another eye sees at its place.

Its door is `readings.readings_to_looked_at`. It gets the page and the places of values, never a table, a
region or a column of the first reader.
"""
