"""A datasheet page becomes checked part records."""
