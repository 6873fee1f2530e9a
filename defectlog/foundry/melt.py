"""Sums of the melt: hydrogen, density, heat over the liquidus, returns and loss. Temperatures in °C."""

import math

KELVIN = 273.15
# log10 S = b − a/T at 1 atm of hydrogen, S in mL/100 g: (a, b) and whose they are. The last was published per kg.
LIQUID_SOLUBILITY = {
    "ransley-neufeld": (2760.0, 2.796),  # J. Inst. Metals 74 (1948) 559, recalled
    "talbot-anyalebechi": (2700.0, 2.720),  # 1988; coefficients recalled, their value at 660 °C located
    "sieverts-argon": (2980.0, 3.07),  # J. Mater. Sci., doi 10.1007/BF00361510
    "rapid-quench": (2392.0, 2.256),  # J. Japan Inst. Light Metals 45 (1995) 278
}
SOLID_SOLUBILITY = (2080.0, 0.788)  # Ransley & Neufeld
# Reference correlations of Assael et al., J. Phys. Chem. Ref. Data 35 (2006) 285; coefficients recalled.
MELTING_K = 933.47
WATER_G_CM3 = 0.998


def solubility(a: float, b: float, temperature_c: float, pressure_atm: float) -> float:
    """10^(b − a/T)·√p: an Arrhenius line with Sieverts' law."""
    return float(10 ** (b - a / (temperature_c + KELVIN))) * sieverts(pressure_atm)


def hydrogen_liquid(temperature_c: float, pressure_atm: float = 1.0, whose: str = "ransley-neufeld") -> float:
    """Hydrogen in mL/100 g that liquid aluminium holds at rest under a hydrogen pressure.

    Methods disagree: 0.63 to 1.02 at 700 °C and 1 atm (`LIQUID_SOLUBILITY`). Silicon and copper lower it, magnesium
    raises it; none of that is in it.
    """
    return solubility(*LIQUID_SOLUBILITY[whose], temperature_c, pressure_atm)


def hydrogen_solid(temperature_c: float, pressure_atm: float = 1.0) -> float:
    """The same for solid aluminium (Ransley & Neufeld 1948): about a twentieth at the melting point."""
    return solubility(*SOLID_SOLUBILITY, temperature_c, pressure_atm)


def sieverts(pressure_ratio: float) -> float:
    """How much dissolved gas changes when its pressure does: √ratio (Sieverts' law)."""
    if pressure_ratio < 0:
        raise ValueError("a pressure cannot be negative")
    return math.sqrt(pressure_ratio)


def density_by_weighing(in_air: float, in_water: float, water_g_cm3: float = WATER_G_CM3) -> float:
    """Density in g/cm³ from a weight in air and one in water (Archimedes)."""
    if not 0 <= in_water < in_air:
        raise ValueError("the weight in water must be less than the weight in air")
    return in_air / (in_air - in_water) * water_g_cm3


def density_index_pct(air_g_cm3: float, vacuum_g_cm3: float) -> float:
    """(ρ_air − ρ_80mbar) / ρ_air × 100 (Giesserei-Lexikon, Density index). It is not a hydrogen content."""
    if air_g_cm3 <= 0:
        raise ValueError("the density must be more than nothing")
    return (air_g_cm3 - vacuum_g_cm3) / air_g_cm3 * 100


def density_index_from_weighings(
    air_sample: tuple[float, float], vacuum_sample: tuple[float, float], water_g_cm3: float = WATER_G_CM3
) -> float:
    """Density index from (in air, in water) of the sample frozen in air and of the one frozen under vacuum."""
    return density_index_pct(
        density_by_weighing(*air_sample, water_g_cm3), density_by_weighing(*vacuum_sample, water_g_cm3)
    )


def superheat_c(pour_c: float, liquidus_c: float) -> float:
    """Degrees over the liquidus."""
    return pour_c - liquidus_c


def freezing_range_c(liquidus_c: float, solidus_c: float) -> float:
    """Liquidus less solidus: long ranges feed badly, short ones pipe."""
    return liquidus_c - solidus_c


def liquid_density(temperature_c: float) -> float:
    """Liquid aluminium in kg/m³: 2377.23 − 0.311·(T − 933.47 K), good to 0.7 %."""
    return 2377.23 - 0.311 * (temperature_c + KELVIN - MELTING_K)


def viscosity_mpa_s(temperature_c: float) -> float:
    """Liquid aluminium in mPa·s: 10^(−0.7324 + 803.49/T)."""
    return float(10 ** (-0.7324 + 803.49 / (temperature_c + KELVIN)))


def returns_pct(returns_kg: float, ingot_kg: float) -> float:
    """Returns in % of the charge."""
    charge = returns_kg + ingot_kg
    if charge <= 0:
        raise ValueError("the charge must be more than nothing")
    return returns_kg / charge * 100


def melt_loss_pct(charged_kg: float, recovered_kg: float) -> float:
    """Metal lost to dross and oxide in % of the charge: what was charged less what was poured and pigged."""
    if charged_kg <= 0:
        raise ValueError("the charge must be more than nothing")
    if not 0 <= recovered_kg <= charged_kg:
        raise ValueError("more metal cannot come out than went in")
    return (charged_kg - recovered_kg) / charged_kg * 100
