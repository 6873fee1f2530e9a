"""Sums of freezing and feeding: modulus, time to freeze, feeder and the metal it must give. Lengths in mm."""

import math

# Chvorinov constant of green sand and aluminium in min/cm², by `mould_constant` with typical values and 60 °C of
# superheat. It is an order of magnitude, good to about a third: measure your own.
GREEN_SAND_MIN_CM2 = 3.78
# Feeder over casting: feeder design page, "more than 1.2 for aluminium and steel".
FEEDER_FACTOR = 1.2
# Magnusson & Arnberg, Metall. Mater. Trans. A 32 (2001) 2605: shrinkage in % by volume at 0 and 11.6 % silicon.
SHRINKAGE_BY_SILICON = ((0.0, 6.6), (11.6, 4.4))


def modulus(volume_mm3: float, area_mm2: float) -> float:
    """Volume over cooling surface, in mm (Wlodawer; Campbell, Castings)."""
    if volume_mm3 <= 0 or area_mm2 <= 0:
        raise ValueError("volume and surface must be more than nothing")
    return volume_mm3 / area_mm2


def plate_modulus(length_mm: float, width_mm: float, thickness_mm: float) -> float:
    """Modulus of a block that cools on all six faces."""
    faces = 2 * (length_mm * width_mm + length_mm * thickness_mm + width_mm * thickness_mm)
    return modulus(length_mm * width_mm * thickness_mm, faces)


def wall_modulus(thickness_mm: float) -> float:
    """Modulus of a wall whose edges are far away: half its thickness."""
    return thickness_mm / 2


def bar_modulus(width_mm: float, thickness_mm: float) -> float:
    """Modulus of a long bar, its ends left out: a·b / (2·(a + b))."""
    return modulus(width_mm * thickness_mm, 2 * (width_mm + thickness_mm))


def sphere_modulus(diameter_mm: float) -> float:
    """d / 6."""
    return diameter_mm / 6


def cylinder_modulus(diameter_mm: float, height_mm: float, cooled_ends: int = 2) -> float:
    """d·h / (4·h + n·d) for a cylinder with n ends (0, 1 or 2) that cool."""
    return modulus(diameter_mm * height_mm, 4 * height_mm + cooled_ends * diameter_mm)


def freezing_minutes(modulus_mm: float, constant_min_cm2: float = GREEN_SAND_MIN_CM2) -> float:
    """Chvorinov: t = B·M², M in cm."""
    return constant_min_cm2 * (modulus_mm / 10) ** 2


def chvorinov_constant(minutes: float, modulus_mm: float) -> float:
    """B = t / M² in min/cm², from a casting that was timed."""
    if modulus_mm <= 0:
        raise ValueError("the modulus must be more than nothing")
    return minutes / (modulus_mm / 10) ** 2


def mould_constant(
    superheat_c: float = 60.0,
    *,
    metal_kg_m3: float = 2400.0,
    latent_j_kg: float = 397_000.0,
    freezing_k: float = 933.0,
    mould_k: float = 298.0,
    sand_w_mk: float = 0.6,
    sand_kg_m3: float = 1600.0,
    sand_j_kgk: float = 1100.0,
    metal_j_kgk: float = 1080.0,
) -> float:
    """B in min/cm² = (ρL/ΔT)² · π/(4 k ρs cs) · (1 + c·superheat/L)² (Stefanescu's form; typical values, ours).

    The superheat stands INSIDE the square, as the balance of heat asks; encyclopaedias print 1 + (c·superheat/L)²,
    which makes the correction some ten times too small.
    """
    frozen = metal_kg_m3 * latent_j_kg / (freezing_k - mould_k)
    sand = math.pi / (4 * sand_w_mk * sand_kg_m3 * sand_j_kgk)
    return frozen**2 * sand * (1 + metal_j_kgk * superheat_c / latent_j_kg) ** 2 / 60 / 1e4


def feeder_modulus(casting_modulus_mm: float, factor: float = FEEDER_FACTOR) -> float:
    """Modulus that the feeder must have at least."""
    return factor * casting_modulus_mm


def feeder_diameter(modulus_mm: float, height_to_diameter: float = 1.0, cooled_ends: int = 2) -> float:
    """Diameter in mm of a cylindrical feeder of a modulus, D = M·(4r + n) / r; 6·M for H = D cooled all round.

    A feeder that stands on the casting has one cooled end: 5·M.
    """
    if height_to_diameter <= 0:
        raise ValueError("the height must be more than nothing")
    return modulus_mm * (4 * height_to_diameter + cooled_ends) / height_to_diameter


def feeder_diameter_for_volume(feed_cm3: float, volumes: float = 3.0, height_to_diameter: float = 1.0) -> float:
    """Diameter in mm of a cylindrical feeder that holds `volumes` times the metal it must give (customary 3)."""
    return float(10 * (4 * volumes * feed_cm3 / (math.pi * height_to_diameter)) ** (1 / 3))


def cylinder_volume(diameter_mm: float, height_mm: float) -> float:
    """π/4·d²·h, in cm³."""
    return math.pi / 4 * diameter_mm**2 * height_mm / 1000


def time_ratio(modulus_ratio: float) -> float:
    """How much longer the feeder freezes than the casting: the modulus ratio squared (Chvorinov)."""
    return modulus_ratio**2


def modulus_ratio_for_time(ratio: float) -> float:
    """The modulus ratio that makes the feeder freeze `ratio` times as long."""
    return math.sqrt(ratio)


def section_ratio(thickest_mm: float, thinnest_mm: float) -> float:
    """Thickest over thinnest wall."""
    if thinnest_mm <= 0:
        raise ValueError("the thinnest wall must be more than nothing")
    return thickest_mm / thinnest_mm


def feed_volume(casting_cm3: float, shrinkage_pct: float) -> float:
    """Metal in cm³ that freezing takes from the feeders: s·V."""
    return casting_cm3 * shrinkage_pct / 100


def shrinkage_pct(silicon_pct: float) -> float:
    """Shrinkage on freezing in % by volume, a line between the two measured points (Magnusson & Arnberg 2001).

    Raises ValueError outside 0 to 11.6 % silicon.
    """
    (low_si, at_low), (high_si, at_high) = SHRINKAGE_BY_SILICON
    if not low_si <= silicon_pct <= high_si:
        raise ValueError(f"shrinkage was measured from {low_si:g} to {high_si:g} % silicon")
    return at_low + (at_high - at_low) * (silicon_pct - low_si) / (high_si - low_si)
