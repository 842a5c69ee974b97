"""One number, or a column of them: a formula is stated once for both.

Comes in: nothing. Goes out: `Amount`, a type that stands for a float or for an array of floats, the same for
all arguments of a formula. Loads no array package: what is asked for one part needs none.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Amount = TypeVar("Amount", float, "NDArray[np.float64]")
