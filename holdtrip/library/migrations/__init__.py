"""Alembic's migrations of a library: one file for each step, run by name, forward only."""
