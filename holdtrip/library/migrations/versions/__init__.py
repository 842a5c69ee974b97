"""The steps, oldest first. A step is never edited once a library may have taken it."""
