"""Ink becomes cells: glyphs → atoms → lines → regions → separators with evidence → rows told → a Sheaf.

Doors: `ink.content_to_ink` and `tables.ink_to_sheaves`. What comes out are tables whose rows and columns are
told and whose cells keep their boxes. No cell is understood here: meanings/ does that.
"""
