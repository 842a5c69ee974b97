"""Ink becomes cells: glyphs → atoms → lines → regions → separators with evidence → rows told → Grids.

Doors: `ink.content_to_ink` and `grids.inks_to_grids`. What comes out are tables whose rows and columns are
told and whose cells keep their boxes. No cell is understood here: meanings/ does that.
"""
