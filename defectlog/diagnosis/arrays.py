"""The array types of this room. Loading numpy's own typing module costs 7 ms at every start, so only checkers do."""

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Flags = NDArray[np.bool_]
else:
    Floats = Ints = Flags = np.ndarray
