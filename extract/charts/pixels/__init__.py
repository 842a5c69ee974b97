"""Charts that are pictures: from pixels to the same strokes and letters that a drawn chart has.

Reading order: `painted` (the picture's pixels), `ruled` (frame and grid), `hues` (the colours of its lines),
`thinned` (lines one pixel wide), `linked` (put together by their direction), `straight` (leaders), `traced`
(curves and leaders), `strips` and `named` (names of the sheet's parts), `marks` (what else could be letters),
`lettered` (read by two recognisers), `picture_ink` (the ink of a picture, which the steps for drawn charts
then read); `outlined` (words of drawn charts whose texts are outlines).
"""

from importlib.util import find_spec


def can_read_pixels() -> bool:
    """Whether what reads pictures (the extra `scans`) is installed."""
    return all(find_spec(name) is not None for name in ("cv2", "rapidocr", "onnxruntime", "tesserocr"))
