"""Sums of the pattern bench: contraction, draft and machining allowance. Lengths in mm, angles in degrees."""

import math
from typing import Literal

Material = Literal["wood", "metal"]
Face = Literal["outside", "inside"]

MM_PER_INCH = 25.4
# Upper edges of the bands of face height (1, 2, 4, 8 and 32 in) as the rules name them.
HEIGHT_BANDS = (
    (1 * MM_PER_INCH, "up to 25 mm"),
    (2 * MM_PER_INCH, "25 to 50 mm"),
    (4 * MM_PER_INCH, "50 to 100 mm"),
    (8 * MM_PER_INCH, "100 to 200 mm"),
    (32 * MM_PER_INCH, "200 to 800 mm"),
)
# Least draft in degrees, one figure a band: NPTEL, Manufacturing Processes I, lecture 4, table 2.
# Hard plastic counts as metal there.
DRAFT_TABLE: dict[tuple[Material, Face], tuple[float, ...]] = {
    ("wood", "outside"): (3.0, 1.5, 1.0, 0.75, 0.5),
    ("wood", "inside"): (3.0, 2.5, 1.5, 1.0, 1.0),
    ("metal", "outside"): (1.5, 1.0, 0.75, 0.5, 0.5),
    ("metal", "inside"): (3.0, 2.0, 1.0, 1.0, 0.75),
}
# Non-ferrous castings: (size up to, allowance), in inches. NPTEL lecture 4, table 3, recalled; band edges
# differ between reprints.
MACHINING_TABLE_IN = ((8.0, 0.09), (12.0, 0.12), (40.0, 0.16))


def contraction_from_inches_per_foot(inches: float) -> float:
    """A shrink rule's inches per foot as a per cent of length: 5/32 in/ft is 1.30 %."""
    return inches / 12 * 100


def contraction_from_one_in(parts: float) -> float:
    """ "One in 75" as a per cent: 1.33."""
    if parts <= 0:
        raise ValueError("one in how many must be more than nothing")
    return 100 / parts


def pattern_length(casting_mm: float, contraction_pct: float) -> float:
    """Length to make the pattern, L·(1 + s/100), any unit of length. The mould's restraint changes s: measure."""
    return casting_mm * (1 + contraction_pct / 100)


def contraction_measured(pattern_mm: float, casting_mm: float) -> float:
    """The contraction in % that a pattern and its casting show: the sum above turned round."""
    if casting_mm <= 0:
        raise ValueError("the casting's length must be more than nothing")
    return (pattern_mm / casting_mm - 1) * 100


def draft_offset(height_mm: float, angle_deg: float) -> float:
    """How far a drawn face leans over its height, h·tan(angle), in the unit of the height."""
    return height_mm * math.tan(math.radians(angle_deg))


def height_band(height_mm: float) -> str:
    """The band of the table that a face height falls in, as limits name it; "" above the table."""
    return next((name for edge, name in HEIGHT_BANDS if height_mm <= edge), "")


def draft_needed(height_mm: float, material: Material, face: Face) -> float:
    """Least draft in degrees of a drawn face (`DRAFT_TABLE`). Raises ValueError above 813 mm (32 in)."""
    for (edge, _), angle in zip(HEIGHT_BANDS, DRAFT_TABLE[material, face], strict=True):
        if height_mm <= edge:
            return angle
    raise ValueError("the table ends at a face of 813 mm (32 in)")


def machining_allowance(size_mm: float) -> float:
    """Metal to leave for machining, in mm a face (`MACHINING_TABLE_IN`). Raises ValueError above 1016 mm (40 in)."""
    for edge, allowance in MACHINING_TABLE_IN:
        if size_mm <= edge * MM_PER_INCH:
            return allowance * MM_PER_INCH
    raise ValueError("the table ends at castings of 1016 mm (40 in)")
