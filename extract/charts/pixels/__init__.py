"""Charts that are pictures: from pixels to the same strokes and letters that a drawn chart has.

Reading order: `painted` (the picture's pixels), `ruled` (frame and grid), `hues` (the colours of its lines),
`traced` (its curves), `marks` (what could be letters), `lettered` (read by two recognisers), `picture_ink`
(the ink of a picture, which the steps for drawn charts then read).
"""
