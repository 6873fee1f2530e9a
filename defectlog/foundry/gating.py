"""Sums of the running system: how fast the metal comes, how long the mould fills, what lifts the cope.

Lengths in mm, areas in mm², weights in kg, times in s, speeds in m/s.
"""

import math
from typing import Literal

Gating = Literal["top", "parting", "bottom"]

GRAVITY_M_S2 = 9.81
# Liquid aluminium alloy, the round figure of foundry texts; 2365 at 700 °C by the reference correlation (melt).
LIQUID_KG_M3 = 2400.0
# Share of the ideal flow that a tapered sprue with a choke at its foot passes. Recalled; texts give 0.7 to 0.9.
DISCHARGE = 0.8
# J. Campbell, Castings: above it the surface of liquid aluminium breaks and folds its oxide in.
CRITICAL_M_S = 0.5
# Kinematic viscosity: 1.2 mPa·s over 2377 kg/m³. Course slides give 1.27e-6, two to three times more.
VISCOSITY_M2_S = 1.2e-3 / 2377


def fall_velocity(head_mm: float) -> float:
    """Speed after a free fall, √(2 g h)."""
    if head_mm < 0:
        raise ValueError("a head cannot be negative")
    return math.sqrt(2 * GRAVITY_M_S2 * head_mm / 1000)


def fall_height(velocity_m_s: float) -> float:
    """Height in mm of the free fall that gives a speed, v² / (2 g); 12.7 mm for the critical 0.5 m/s."""
    return velocity_m_s**2 / (2 * GRAVITY_M_S2) * 1000


def flow_cm3_s(area_mm2: float, velocity_m_s: float) -> float:
    """Volume a second, Q = A·v; mm² times m/s is cm³/s."""
    return area_mm2 * velocity_m_s


def effective_head(sprue_mm: float, casting_mm: float, gating: Gating, above_gate_mm: float = 0.0) -> float:
    """Head in mm that drives the filling on average (P. N. Rao, Manufacturing Technology: Foundry).

    Top gated h; bottom gated h − c/2; at the parting h − p²/(2c), where c is the casting's whole height and
    p the part of it that stands above the gate. Raises ValueError when the metal cannot reach that high.
    """
    if gating != "top" and casting_mm <= 0:
        raise ValueError("the casting's height must be more than nothing")
    if not 0 <= above_gate_mm <= casting_mm:
        raise ValueError("the part above the gate cannot be higher than the casting")
    lost = {
        "top": 0.0,
        "bottom": casting_mm / 2,
        "parting": above_gate_mm**2 / (2 * casting_mm) if casting_mm else 0.0,
    }
    top_of_casting = {"top": 0.0, "bottom": casting_mm, "parting": above_gate_mm}[gating]
    if sprue_mm < top_of_casting:
        raise ValueError("the sprue must be at least as high above the gate as the casting is")
    return sprue_mm - lost[gating]


def choke_area(
    poured_kg: float, fill_s: float, head_mm: float, discharge: float = DISCHARGE, density: float = LIQUID_KG_M3
) -> float:
    """Choke area in mm², W / (ρ · t · C · √(2 g H)) (Heine, Loper & Rosenthal ch. 9; P. N. Rao)."""
    speed = discharge * fall_velocity(head_mm)
    if speed <= 0 or fill_s <= 0 or density <= 0:
        raise ValueError("time, head, discharge and density must be more than nothing")
    return poured_kg / (density * fill_s * speed) * 1e6


def fill_seconds(
    poured_kg: float, choke_mm2: float, head_mm: float, discharge: float = DISCHARGE, density: float = LIQUID_KG_M3
) -> float:
    """Filling time through a choke under a steady head, the choke formula turned round."""
    if choke_mm2 <= 0:
        raise ValueError("the choke must be more than nothing")
    return choke_area(poured_kg, 1.0, head_mm, discharge, density) / choke_mm2


def volume_fill_seconds(volume_cm3: float, flow: float) -> float:
    """V / Q, with Q in cm³/s."""
    if flow <= 0:
        raise ValueError("the flow must be more than nothing")
    return volume_cm3 / flow


def top_gated_seconds(mould_mm2: float, height_mm: float, gate_mm2: float, head_mm: float) -> float:
    """Time to fill a prism from the top, A_m·h / (A_g·√(2 g H)), no losses (Ghosh & Mallik, ch. 2)."""
    flow = flow_cm3_s(gate_mm2, fall_velocity(head_mm))
    return volume_fill_seconds(mould_mm2 * height_mm / 1000, flow)


def bottom_gated_seconds(mould_mm2: float, height_mm: float, gate_mm2: float, head_mm: float) -> float:
    """The same from below, where the head shrinks: 2·A_m / (A_g·√(2 g)) · (√H − √(H − h)) (Ghosh & Mallik)."""
    if gate_mm2 <= 0:
        raise ValueError("the gate must be more than nothing")
    if height_mm > head_mm:
        raise ValueError("the head must be at least the casting's height")
    roots = math.sqrt(head_mm / 1000) - math.sqrt((head_mm - height_mm) / 1000)
    return 2 * mould_mm2 / gate_mm2 / math.sqrt(2 * GRAVITY_M_S2) * roots


def sprue_taper(top_head_mm: float, bottom_head_mm: float) -> float:
    """Area at the top of the sprue over area at its foot, √(h_bottom / h_top): the foot is the smaller.

    Heads are measured from the metal's surface in the basin. Continuity and Bernoulli.
    """
    if not 0 < top_head_mm <= bottom_head_mm:
        raise ValueError("the head at the top must be more than nothing and no more than at the foot")
    return math.sqrt(bottom_head_mm / top_head_mm)


def areas_from_ratio(choke_mm2: float, ratio: str) -> tuple[float, ...]:
    """Areas of choke, runner and gate from "1:2:2". Raises ValueError when it is no such ratio."""
    try:
        parts = [float(part) for part in ratio.split(":")]
    except ValueError:
        raise ValueError(f"{ratio!r} is not a gating ratio like 1:2:2") from None
    if len(parts) < 2 or min(parts) <= 0:
        raise ValueError(f"{ratio!r} is not a gating ratio like 1:2:2")
    return tuple(choke_mm2 * part / parts[0] for part in parts)


def gate_to_choke_needed(head_mm: float, limit_m_s: float = CRITICAL_M_S) -> float:
    """How many times the choke the gates must be for the metal to enter no faster than the limit, no losses."""
    return fall_velocity(head_mm) / limit_m_s


def gate_velocity(choke_mm2: float, gate_mm2: float, head_mm: float, discharge: float = DISCHARGE) -> float:
    """Speed in m/s at which metal enters, C·√(2 g H)·A_choke / A_gate: all gates full and sharing alike."""
    if gate_mm2 <= 0:
        raise ValueError("the gates must be more than nothing")
    return discharge * fall_velocity(head_mm) * choke_mm2 / gate_mm2


def critical_velocity(surface_n_m: float = 0.9, density: float = LIQUID_KG_M3) -> float:
    """2·(γ g / ρ)^¼: surface tension and weight against inertia (J. Campbell, Castings, 2.1); 0.49 m/s."""
    return float(2 * (surface_n_m * GRAVITY_M_S2 / density) ** 0.25)


def hydraulic_diameter(width_mm: float, height_mm: float) -> float:
    """4·area / perimeter of a full rectangular channel, in mm."""
    if width_mm <= 0 or height_mm <= 0:
        raise ValueError("width and height must be more than nothing")
    return 2 * width_mm * height_mm / (width_mm + height_mm)


def reynolds(velocity_m_s: float, diameter_mm: float, viscosity_m2_s: float = VISCOSITY_M2_S) -> float:
    """v·d / ν, with the hydraulic diameter d and the kinematic viscosity ν."""
    return velocity_m_s * diameter_mm / 1000 / viscosity_m2_s


def lift_newtons(area_mm2: float, head_mm: float, density: float = LIQUID_KG_M3) -> float:
    """Upward force on the cope in N, ρ·g·h·A, A the projected area under the cope (metallostatics)."""
    return density * GRAVITY_M_S2 * head_mm / 1000 * area_mm2 / 1e6


def weight_on_cope(
    area_mm2: float, head_mm: float, cope_kg: float = 0.0, reserve: float = 1.3, density: float = LIQUID_KG_M3
) -> float:
    """Weight in kg to put on the cope: reserve × lift, less the cope's own weight, never below nothing.

    The reserve of 1.3 is recalled practice; cores that float lift as well and are not in it.
    """
    lift_kg = lift_newtons(area_mm2, head_mm, density) / GRAVITY_M_S2
    return max(0.0, reserve * lift_kg - cope_kg)
