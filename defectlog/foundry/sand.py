"""Sums of the sand bench: grain, clay, water, gas and compaction.

Weights of one sum may be in any one unit, grams as a rule: only their ratio counts.
"""

from collections.abc import Mapping, Sequence

# US sieves of the AFS stack, coarse to fine; what falls through the last lies in the pan.
SIEVES = (6, 12, 20, 30, 40, 50, 70, 100, 140, 200, 270)
# AFS grain fineness procedure, as printed in Heine, Loper & Rosenthal, Principles of Metal Casting, ch. 5.
MULTIPLIERS = (3, 5, 10, 20, 30, 40, 50, 70, 100, 140, 200, 300)

# The AFS standard specimen and its 2000 cm³ of air: 2000 × 5.08 / 20.268 = 501.28 g/cm² · min.
AIR_CM3 = 2000.0
SPECIMEN_CM = 5.08
SPECIMEN_CM2 = 20.268
STANDARD_PRESSURE_G_CM2 = 10.0
# The rounded constant that the method prints for 10 g/cm² and time in seconds (exactly 3007.7).
STANDARD_CONSTANT_S = 3007.2


def fineness_products(retained: Sequence[float]) -> float:
    """Sum of what each sieve holds times its multiplier; `retained` runs from sieve 6 to the pan, 12 figures.

    Raises ValueError when there are not 12 figures or one is negative.
    """
    if len(retained) != len(MULTIPLIERS):
        raise ValueError(f"a sieve test has {len(MULTIPLIERS)} figures, sieve 6 to pan; {len(retained)} were given")
    if min(retained) < 0:
        raise ValueError("a sieve cannot hold less than nothing")
    return sum(weight * multiplier for weight, multiplier in zip(retained, MULTIPLIERS, strict=True))


def grain_fineness(retained: Sequence[float]) -> float:
    """AFS grain fineness number, Σ(weight × multiplier) / Σ(weight), clay left out (AFS procedure)."""
    products = fineness_products(retained)
    total = sum(retained)
    if total <= 0:
        raise ValueError("no grain was retained on any sieve")
    return products / total


def share_lost_pct(before: float, after: float) -> float:
    """Per cent of `before` that is gone: (before − after) / before × 100.

    Raises ValueError when nothing was weighed or the second weighing is the heavier one.
    """
    if before <= 0:
        raise ValueError("the first figure must be more than nothing")
    if not 0 <= after <= before:
        raise ValueError("the second figure must lie between nothing and the first one")
    return (before - after) / before * 100


def afs_clay_pct(dry: float, washed: float) -> float:
    """AFS clay in %: what washing takes from a dried sample, grains under 20 µm and clay (AFS clay procedure)."""
    return share_lost_pct(dry, washed)


def moisture_pct(wet: float, dry: float) -> float:
    """Moisture in % of the WET weight, dried at 105–110 °C (AFS moisture procedure)."""
    return share_lost_pct(wet, dry)


def compactability_pct(loose_mm: float, rammed_mm: float) -> float:
    """Compactability in %: height lost by riddled sand under three rams (AFS compactability test)."""
    return share_lost_pct(loose_mm, rammed_mm)


def loss_on_ignition_pct(dried: float, fired: float) -> float:
    """Loss on ignition in % of the dried weight, fired at 982 °C (1800 °F) to constant weight (AFS practice)."""
    return share_lost_pct(dried, fired)


def permeability(
    seconds: float,
    pressure_g_cm2: float,
    air_cm3: float = AIR_CM3,
    height_cm: float = SPECIMEN_CM,
    area_cm2: float = SPECIMEN_CM2,
) -> float:
    """AFS permeability number V·h / (p·A·t), time in minutes, for any specimen (AFS permeability test)."""
    if seconds <= 0 or pressure_g_cm2 <= 0 or area_cm2 <= 0:
        raise ValueError("time, pressure and area must be more than nothing")
    return air_cm3 * height_cm / (pressure_g_cm2 * area_cm2) * 60 / seconds


def permeability_standard(seconds: float) -> float:
    """The same for the standard specimen at 10 g/cm²: 3007.2 / seconds, the rounded form that the method prints.

    Instruments with an orifice are read from the table that comes with them, which rests on the same test.
    """
    if seconds <= 0:
        raise ValueError("the time must be more than nothing")
    return STANDARD_CONSTANT_S / seconds


def mulling_efficiency_pct(strength: float, full_strength: float) -> float:
    """Green strength of the prepared sand in % of the same sand fully mulled, 10 minutes or longer.

    Reference mulling of at least 600 s: TJFS-108. The ratio itself is common practice, recalled.
    """
    if full_strength <= 0:
        raise ValueError("the fully mulled strength must be more than nothing")
    return strength / full_strength * 100


def temper_ratio(water: float, clay: float) -> float:
    """Water to active clay, both in % or both by weight; about a third is the temper point (recalled practice)."""
    if clay <= 0:
        raise ValueError("there must be some clay")
    return water / clay


def mix_percentages(dry_parts: Mapping[str, float]) -> dict[str, float]:
    """Each dry part of a recipe in % of all dry parts; water does not belong among them."""
    total = sum(dry_parts.values())
    if total <= 0 or min(dry_parts.values()) < 0:
        raise ValueError("the parts of a mix must add up to more than nothing")
    return {name: part / total * 100 for name, part in dry_parts.items()}


def recipe_moisture_pct(dry_parts: float, water: float) -> float:
    """Moisture in % of the wet mix that a recipe makes: water / (dry parts + water) × 100."""
    return share_lost_pct(dry_parts + water, dry_parts)
