"""The sums of melt, pattern, yield and money, as people ask for them by name."""

import math

from defectlog.foundry import melt, money, pattern
from defectlog.foundry.sum_shape import TEXT, Input, Sum, Values, Window, Worked

HOT_METAL = (
    "Whatever touches the melt must be dry and preheated; face shield, dry floor, and the rules of your own shop."
)
MAY_BE_LEFT_OUT = ""


def hydrogen(values: Values) -> Worked:
    temperature, pressure = values["temperature_c"], values["pressure_atm"]
    if values["state"] == "solid":
        return Worked(melt.hydrogen_solid(temperature, pressure))
    every = [melt.hydrogen_liquid(temperature, pressure, whose) for whose in melt.LIQUID_SOLUBILITY]
    remark = f"Published lines differ: {min(every):.2g} to {max(every):.2g} mL/100 g here. Pure aluminium, at rest."
    return Worked(melt.hydrogen_liquid(temperature, pressure, values["whose"]), (remark,))


def density_index(values: Values) -> float:
    """From two densities or from two pairs of weighings. Raises ValueError when neither is complete."""
    densities = (values["air_density"], values["vacuum_density"])
    air = (values["air_dry_g"], values["air_water_g"])
    vacuum = (values["vacuum_dry_g"], values["vacuum_water_g"])
    if None not in densities:
        return melt.density_index_pct(*densities)
    if None in air + vacuum:
        raise ValueError(
            "give air_density and vacuum_density, or all four weighings: "
            "air_dry_g, air_water_g, vacuum_dry_g, vacuum_water_g"
        )
    return melt.density_index_from_weighings(air, vacuum)


def draft(values: Values) -> Worked:
    height, angle = values["height_mm"], values["draft_deg"]
    wanted = pattern.draft_needed(height, values["material"], values["face"])
    used = wanted if angle is None else angle
    remark = f"The table asks for {wanted:g}° here ({values['material']}, {values['face']} face)"
    remark += "." if angle is None or angle >= wanted else f"; {angle:g}° is less."
    return Worked(pattern.draft_offset(height, used), (remark,))


def yields(values: Values) -> Worked:
    box = money.casting_yield_pct(values["castings"], values["casting_kg"], values["poured_kg"])
    scrap = values["scrap_pct"]
    if not scrap:
        return Worked(box)
    return Worked(box, (f"After {scrap:g} % scrap {money.good_yield_pct(box, scrap / 100):.3g} % of it is sold.",))


def scrapped(values: Values) -> Worked:
    rates = money.Rates(
        metal_per_kg=values["metal_per_kg"],
        remelt_per_kg=values["remelt_per_kg"],
        energy_per_kg=values["energy_per_kg"],
        melting_labour_per_kg=values["melting_labour_per_kg"],
        labour_per_hour=values["labour_per_hour"],
        melt_loss_pct=values["melt_loss_pct"],
    )
    cost = money.scrap_cost(
        rates,
        casting_kg=values["casting_kg"],
        poured_kg_each=values["poured_kg"] / values["castings"],
        moulding_minutes_each=values["moulding_min"] / values["castings"],
        other_each=values["other_each"],
    )
    parts = (
        f"metal {cost.metal:.2f} − remelt {cost.remelt_credit:.2f} + melt loss {cost.melt_loss:.2f} + "
        f"melting {cost.melting:.2f} + moulding {cost.moulding:.2f} + other {cost.other:.2f}"
    )
    return Worked(cost.total, (parts,))


def pour_extra(values: Values) -> Worked:
    """Whole moulds that are enough, in castings."""
    plan = money.pieces_to_pour(math.ceil(values["good"]), values["scrap_pct"] / 100, values["chance_pct"] / 100)
    each = round(values["impressions"])
    moulds = math.ceil(plan.enough / each)
    remarks = (
        f"{plan.expected:.1f} on average; nine times in ten between {plan.low} and {plan.high}.",
        f"{plan.enough} castings are enough {values['chance_pct']:g} times in 100: {moulds} moulds of {each}.",
        "Castings of one mould or heat fail together, so the true range is wider.",
    )
    return Worked(float(moulds * each), remarks)


def rate(key: str, meaning: str) -> Input:
    return Input(key, meaning, "number", 0, 1e6, "0")


METAL_SUMS = (
    Sum(
        "hydrogen",
        "Hydrogen that aluminium can hold",
        (
            Input("temperature_c", "temperature of the metal", "temperature", 300, 1200),
            Input("pressure_atm", "pressure of hydrogen, in atmospheres", "number", 0, 10, "1"),
            Input("state", "liquid or solid", TEXT, default="liquid", choices=("liquid", "solid")),
            Input("whose", "whose line", TEXT, default="ransley-neufeld", choices=tuple(melt.LIQUID_SOLUBILITY)),
        ),
        "number",
        "10^(b − a/T) × √pressure",
        "Ransley & Neufeld, J. Inst. Metals 74 (1948) 559 (recalled); Sieverts",
        hydrogen,
        unit="mL/100 g",
    ),
    Sum(
        "density-index",
        "Density index of a reduced-pressure test",
        (
            Input("air_density", "density of the sample frozen in air, g/cm³", "number", 0.1, 20, MAY_BE_LEFT_OUT),
            Input("vacuum_density", "density of the one frozen at 80 mbar, g/cm³", "number", 0.1, 20, MAY_BE_LEFT_OUT),
            *(
                Input(key, meaning, "mass", 0, 5, MAY_BE_LEFT_OUT, unit="g")
                for key, meaning in (
                    ("air_dry_g", "weight of the air sample in air"),
                    ("air_water_g", "the same in water"),
                    ("vacuum_dry_g", "weight of the vacuum sample in air"),
                    ("vacuum_water_g", "the same in water"),
                )
            ),
        ),
        "percent",
        "(air density − vacuum density) / air density × 100",
        "Giesserei-Lexikon, Density index; there is no limit for all alloys and uses (Aleris)",
        density_index,
        Window(None, 5, "recalled practice for ordinary sand castings", "density_index_pct"),
        caution=HOT_METAL,
    ),
    Sum(
        "superheat",
        "Superheat over the liquidus",
        (
            Input("pour_c", "pouring temperature", "temperature", 300, 1200),
            Input("liquidus_c", "liquidus of the alloy", "temperature", 300, 1200),
        ),
        "number",
        "pouring temperature − liquidus",
        "definition",
        lambda v: melt.superheat_c(v["pour_c"], v["liquidus_c"]),
        Window(60, 130, "derived from pouring windows of Al-Si sand castings (recalled)"),
        unit="°C",
        us=("°F", 1.8),
        caution=HOT_METAL,
    ),
    Sum(
        "contraction",
        "Length of the pattern",
        (
            Input("casting_mm", "length wanted on the casting", "length", 0.1, 10_000),
            Input("contraction_pct", "contraction of the alloy", "percent", 0, 5, "1.3"),
        ),
        "length",
        "length × (1 + contraction / 100)",
        "1.3 % for most Al-Si alloys: LM-series data book; the mould's restraint changes it, so measure your own",
        lambda v: pattern.pattern_length(v["casting_mm"], v["contraction_pct"]),
    ),
    Sum(
        "draft",
        "Lean of a drawn face",
        (
            Input("height_mm", "height of the face", "length", 0.1, 10_000),
            Input("draft_deg", "draft; the table's when left out", "angle", 0, 45, MAY_BE_LEFT_OUT),
            Input(
                "material",
                "what the pattern is made of; hard plastic counts as metal",
                TEXT,
                default="wood",
                choices=("wood", "metal"),
            ),
            Input("face", "which face", TEXT, default="outside", choices=("outside", "inside")),
        ),
        "length",
        "height × tan(draft)",
        "NPTEL, Manufacturing Processes I, lecture 4, table 2",
        draft,
    ),
    Sum(
        "yield",
        "Casting yield of a mould",
        (
            Input("castings", "castings in the mould", "number", 1, 500, "1"),
            Input("casting_kg", "weight of one", "mass", 0.001, 5000),
            Input("poured_kg", "metal poured into the mould", "mass", 0.001, 10_000),
            Input("scrap_pct", "share scrapped", "percent", 0, 100, "0"),
        ),
        "percent",
        "castings × weight / metal poured × 100",
        "definition",
        yields,
        Window(40, 65, "recalled practice for aluminium in sand, 40–60 or 45–65"),
    ),
    Sum(
        "scrap-cost",
        "Cost of one casting scrapped at shakeout",
        (
            Input("casting_kg", "weight of the casting", "mass", 0.001, 5000),
            Input("poured_kg", "metal poured into the mould", "mass", 0.001, 10_000),
            Input("castings", "castings in the mould", "number", 1, 500, "1"),
            Input("moulding_min", "minutes to make the mould", "minutes", 0, 10_000, "0"),
            rate("metal_per_kg", "price of ingot a kilogram"),
            rate("remelt_per_kg", "worth of returns a kilogram"),
            rate("energy_per_kg", "melting energy a kilogram poured"),
            rate("melting_labour_per_kg", "melting labour a kilogram poured"),
            rate("labour_per_hour", "moulding labour an hour"),
            Input("melt_loss_pct", "metal lost in melting", "percent", 0, 100, "0"),
            rate("other_each", "sand, cores, fettling, machining already spent on it"),
        ),
        "number",
        "casting × (metal − remelt) + poured × (loss × metal + energy + labour) + moulding + other",
        "common practice, no source; the rates are your own",
        scrapped,
        unit="in your money",
    ),
    Sum(
        "pour-extra",
        "Castings to pour for an order",
        (
            Input("good", "good castings wanted", "number", 1, 10_000),
            Input("scrap_pct", "share scrapped, your own record", "percent", 0, 95),
            Input("chance_pct", "how sure to be", "percent", 1, 99.9, "90"),
            Input("impressions", "castings a mould", "number", 1, 500, "1"),
        ),
        "number",
        "least n with P(good ones of n ≥ wanted) ≥ chance",
        "negative binomial, exact",
        pour_extra,
        unit="castings",
    ),
)
