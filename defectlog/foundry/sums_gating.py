"""The sums of the running system and of freezing and feeding, as people ask for them by name."""

from collections.abc import Callable

from defectlog.foundry import freezing, gating
from defectlog.foundry.sum_shape import TEXT, Input, Sum, Values, Window, Worked

DISCHARGE = Input("discharge", "share of the ideal flow that passes", "ratio", 0.1, 1, "0.8")
DENSITY = Input("density_kg_m3", "density of the liquid metal", "density", 1500, 12000, "2400")
HEAD = Input("head_mm", "height of metal above the gate", "length", 1, 5000)
POURED = Input("poured_kg", "metal poured into the mould", "mass", 0.001, 10_000)
CHOKE = Input("choke_mm2", "narrowest area of the running system", "area", 1, 1e6)
GATES = Input("gate_mm2", "area of all gates", "area", 1, 1e6)
GATING = Input("gating", "where the metal enters", TEXT, default="top", choices=("top", "parting", "bottom"))
RULES_OF_GATING = "Campbell, Castings (recalled)"
SHAPE_NEEDS = {
    "plate": ("length_mm", "width_mm", "thickness_mm"),
    "wall": ("thickness_mm",),
    "bar": ("width_mm", "thickness_mm"),
    "sphere": ("diameter_mm",),
    "cylinder": ("diameter_mm", "height_mm"),
    "any": ("volume_cm3", "area_mm2"),
}


def head_of(values: Values) -> float:
    return gating.effective_head(
        values["head_mm"], values["casting_mm"] or 0.0, values["gating"], values["above_gate_mm"]
    )


def sprue_velocity(values: Values) -> Worked:
    times = gating.gate_to_choke_needed(values["head_mm"])
    remark = f"To enter at no more than 0.5 m/s, gates kept full must have {times:.2g} times the choke's area."
    return Worked(gating.fall_velocity(values["head_mm"]), (remark,) if times > 1 else ())


def fill_time(values: Values) -> float:
    return gating.fill_seconds(
        values["poured_kg"], values["choke_mm2"], head_of(values), values["discharge"], values["density_kg_m3"]
    )


def sprue_taper(values: Values) -> Worked:
    ratio = gating.sprue_taper(values["top_head_mm"], values["bottom_head_mm"])
    foot = values["foot_mm2"]
    return Worked(ratio, (f"Over a foot of {foot:.4g} mm² the top needs {ratio * foot:.4g} mm².",) if foot else ())


def gating_ratio(values: Values) -> Worked:
    choke, runner, gate = values["choke_mm2"], values["runner_mm2"], values["gate_mm2"]
    parts = ["1", *(f"{area / choke:.3g}" for area in (runner, gate) if area)]
    names = "choke : runner : gate" if runner else "choke : gate"
    return Worked(gate / choke, (f"{names} = {' : '.join(parts)}",))


def lift(values: Values) -> Worked:
    area, head, density = values["area_mm2"], values["head_mm"], values["density_kg_m3"]
    force = gating.lift_newtons(area, head, density)
    kilos = gating.weight_on_cope(area, head, values["cope_kg"], values["reserve"], density)
    return Worked(
        kilos, (f"The metal lifts with {force:.4g} N ({force / gating.GRAVITY_M_S2:.3g} kg); cores add to it.",)
    )


def reynolds(values: Values) -> float:
    diameter = gating.hydraulic_diameter(values["width_mm"], values["depth_mm"])
    return gating.reynolds(values["velocity_m_s"], diameter)


def freezing_time(values: Values) -> Worked:
    constant = values["constant_min_cm2"] or freezing.mould_constant(values["superheat_c"])
    remark = f"Constant {constant:.3g} min/cm²"
    if not values["constant_min_cm2"]:
        remark += (
            ", computed from typical values: an order of magnitude. Time one casting of your own to have a better one"
        )
    return Worked(freezing.freezing_minutes(values["modulus_mm"], constant), (f"{remark}.",))


def shape_modulus(values: Values) -> float:
    """Modulus of the shape that was named. Raises ValueError when one of its measures is missing."""
    shape = values["shape"]
    missing = [key for key in SHAPE_NEEDS[shape] if not values[key]]
    if missing:
        raise ValueError(f"shape {shape} needs {', '.join(SHAPE_NEEDS[shape])}; missing: {', '.join(missing)}")
    measures = [values[key] for key in SHAPE_NEEDS[shape]]
    if shape == "any":
        return freezing.modulus(measures[0] * 1000, measures[1])
    by_shape: dict[str, Callable[..., float]] = {
        "plate": freezing.plate_modulus,
        "wall": freezing.wall_modulus,
        "bar": freezing.bar_modulus,
        "sphere": freezing.sphere_modulus,
        "cylinder": freezing.cylinder_modulus,
    }
    return by_shape[shape](*measures)


def feeder_size(values: Values) -> Worked:
    """The larger of what the modulus and (with a casting volume) the feed metal ask for."""
    wanted = freezing.feeder_modulus(values["casting_modulus_mm"], values["factor"])
    slender, ends = values["height_to_diameter"], round(values["cooled_ends"])
    by_modulus = freezing.feeder_diameter(wanted, slender, ends)
    by_volume = 0.0
    if values["casting_cm3"]:
        feed = freezing.feed_volume(values["casting_cm3"], values["shrinkage_pct"])
        by_volume = freezing.feeder_diameter_for_volume(feed, height_to_diameter=slender)
    diameter = max(by_modulus, by_volume)
    ruled = "the metal it must give" if by_volume > by_modulus else f"a modulus of {wanted:.3g} mm"
    return Worked(diameter, (f"Height {diameter * slender:.4g} mm. Set by {ruled}.",))


def optional_length(key: str, meaning: str) -> Input:
    return Input(key, meaning, "length", 0.1, 10_000, "")


GATING_SUMS = (
    Sum(
        "sprue-velocity",
        "Speed at the foot of the sprue",
        (HEAD,),
        "velocity",
        "√(2 × g × head)",
        "Torricelli; Groover, Fundamentals of Modern Manufacturing",
        sprue_velocity,
    ),
    Sum(
        "effective-head",
        "Head that drives the filling",
        (
            HEAD,
            GATING,
            Input("casting_mm", "height of the casting", "length", 0, 5000, "0"),
            Input("above_gate_mm", "part of it above the gate, for parting gates", "length", 0, 5000, "0"),
        ),
        "length",
        "top: h; bottom: h − c/2; parting: h − p²/(2c)",
        "P. N. Rao, Manufacturing Technology: Foundry (recalled)",
        head_of,
    ),
    Sum(
        "choke-area",
        "Choke area for a filling time",
        (POURED, Input("fill_s", "filling time wanted", "seconds", 0.1, 3600), HEAD, DISCHARGE, DENSITY),
        "area",
        "weight / (density × time × discharge × √(2 × g × head))",
        "Heine, Loper & Rosenthal ch. 9; P. N. Rao (recalled)",
        lambda v: gating.choke_area(v["poured_kg"], v["fill_s"], v["head_mm"], v["discharge"], v["density_kg_m3"]),
    ),
    Sum(
        "fill-time",
        "Filling time through a choke",
        (
            POURED,
            CHOKE,
            HEAD,
            GATING,
            Input("casting_mm", "height of the casting, for bottom and parting gates", "length", 0, 5000, "0"),
            Input("above_gate_mm", "part of it above the gate, for parting gates", "length", 0, 5000, "0"),
            DISCHARGE,
            DENSITY,
        ),
        "seconds",
        "weight / (density × choke × discharge × √(2 × g × effective head))",
        "Heine, Loper & Rosenthal ch. 9; P. N. Rao (recalled)",
        fill_time,
        Window(3, 15, "recalled practice: 3–8 s for 0.5–3 kg, 6–15 s for 3–10 kg"),
    ),
    Sum(
        "sprue-taper",
        "Taper of the sprue, top area over foot area",
        (
            Input("top_head_mm", "basin surface to the top of the sprue", "length", 1, 5000),
            Input("bottom_head_mm", "basin surface to its foot", "length", 1, 5000),
            Input("foot_mm2", "area of the foot", "area", 1, 1e6, ""),
        ),
        "ratio",
        "√(head at foot / head at top)",
        "continuity and Bernoulli",
        sprue_taper,
    ),
    Sum(
        "gating-ratio",
        "Gate area over choke area",
        (CHOKE, Input("runner_mm2", "area of all runners", "area", 1, 1e6, ""), GATES),
        "ratio",
        "choke : runner : gate, the choke as 1",
        "definition",
        gating_ratio,
        Window(2, 4, "gating rules article: 1:2:2 to 1:4:4 for aluminium"),
    ),
    Sum(
        "gate-velocity",
        "Speed of the metal in the gates",
        (CHOKE, GATES, HEAD, DISCHARGE),
        "velocity",
        "discharge × √(2 × g × head) × choke / gates",
        "continuity, all gates full; critical speed by J. Campbell, Castings (recalled)",
        lambda v: gating.gate_velocity(v["choke_mm2"], v["gate_mm2"], v["head_mm"], v["discharge"]),
        Window(None, 0.5, RULES_OF_GATING, "gate_velocity_m_s"),
    ),
    Sum(
        "reynolds",
        "Reynolds number of a full channel",
        (
            Input("velocity_m_s", "speed of the metal", "velocity", 0.001, 50),
            Input("width_mm", "width of the channel", "length", 0.1, 1000),
            Input("depth_mm", "its depth", "length", 0.1, 1000),
        ),
        "number",
        "speed × (4 × area / perimeter) / kinematic viscosity, 0.505 mm²/s",
        "viscosity 1.2 mPa·s over 2377 kg/m³ (Dinsdale & Quested; Assael et al.); slides use 1.27 mm²/s",
        reynolds,
        Window(None, 20_000, "AFS-style gating slides: severely turbulent above"),
    ),
    Sum(
        "lift",
        "Weight to put on the cope",
        (
            Input("area_mm2", "area that the metal pushes up against, seen from above", "area", 1, 1e8),
            Input("head_mm", "metal surface in the sprue above that area", "length", 1, 5000),
            Input("cope_kg", "weight of the cope itself", "mass", 0, 10_000, "0"),
            Input("reserve", "times the lift to be safe", "ratio", 1, 5, "1.3"),
            DENSITY,
        ),
        "mass",
        "reserve × density × head × area − cope",
        "metallostatics; reserve 1.3 is recalled practice",
        lift,
        caution="Lift weights and copes by the rules of your own shop; never pour a cope that is not held down.",
    ),
    Sum(
        "solidification-time",
        "Time to freeze",
        (
            Input("modulus_mm", "volume over cooling surface", "length", 0.1, 1000),
            Input("constant_min_cm2", "Chvorinov constant of your own sand, min/cm²", "number", 0.01, 100, ""),
            Input(
                "superheat_c", "degrees over the liquidus at pouring, when no constant is given", "number", 0, 500, "60"
            ),
        ),
        "minutes",
        "constant × modulus²; constant = (ρL/ΔT)² × π/(4·k·ρs·cs) × (1 + c·superheat/L)²",
        "Chvorinov; Stefanescu's form of the superheat, inside the square",
        freezing_time,
    ),
    Sum(
        "modulus",
        "Modulus of a shape",
        (
            Input("shape", "which shape", TEXT, choices=tuple(SHAPE_NEEDS)),
            optional_length("length_mm", "length"),
            optional_length("width_mm", "width"),
            optional_length("thickness_mm", "thickness"),
            optional_length("diameter_mm", "diameter"),
            optional_length("height_mm", "height"),
            Input("volume_cm3", "volume of any other shape", "volume", 0.001, 1e7, ""),
            Input("area_mm2", "its cooling surface", "area", 1, 1e9, ""),
        ),
        "length",
        "volume / cooling surface",
        "Wlodawer; Campbell, Castings (recalled)",
        shape_modulus,
    ),
    Sum(
        "feeder-modulus",
        "Least modulus of the feeder",
        (
            Input("casting_modulus_mm", "modulus of the part to be fed", "length", 0.1, 1000),
            Input("factor", "feeder over casting", "ratio", 1, 3, "1.2"),
        ),
        "length",
        "factor × casting modulus",
        "feeder design page: more than 1.2 for aluminium",
        lambda v: freezing.feeder_modulus(v["casting_modulus_mm"], v["factor"]),
    ),
    Sum(
        "feeder-size",
        "Diameter of a cylindrical feeder",
        (
            Input("casting_modulus_mm", "modulus of the part to be fed", "length", 0.1, 1000),
            Input("factor", "feeder over casting", "ratio", 1, 3, "1.2"),
            Input("height_to_diameter", "height over diameter", "ratio", 0.2, 5, "1"),
            Input("cooled_ends", "ends that cool: 2, or 1 when it stands on the casting", "number", 1, 2, "2"),
            Input("casting_cm3", "volume of metal it feeds", "volume", 0.001, 1e7, ""),
            Input("shrinkage_pct", "shrinkage on freezing", "percent", 0, 10, "6"),
        ),
        "length",
        "larger of modulus × (4r + n)/r and ∛(4 × 3 × shrinkage × volume / (π·r))",
        "Chvorinov; three times the feed metal is customary (recalled)",
        feeder_size,
    ),
)
