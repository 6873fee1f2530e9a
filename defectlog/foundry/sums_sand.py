"""The sums of the sand bench, as people ask for them by name."""

import math

from defectlog.foundry import sand
from defectlog.foundry.sum_shape import LIST, Input, Sum, Values, Window, grams

HOT_SAMPLE = "Oven and sample stay hot long after they look cold: gloves, and the rules of your own shop."


def permeability(values: Values) -> float:
    """The printed constant for the standard test, the general formula for any other."""
    standard = (sand.STANDARD_PRESSURE_G_CM2, sand.AIR_CM3, sand.SPECIMEN_CM * 10, sand.SPECIMEN_CM2 * 100)
    typed = (values["pressure_g_cm2"], values["air_cm3"], values["height_mm"], values["area_mm2"])
    if all(math.isclose(each, usual) for each, usual in zip(typed, standard, strict=True)):
        return sand.permeability_standard(values["time_s"])
    return sand.permeability(values["time_s"], typed[0], typed[1], typed[2] / 10, typed[3] / 100)


SAND_SUMS = (
    Sum(
        "grain-fineness",
        "AFS grain fineness number",
        (
            Input(
                "retained", "weight on sieves 6 12 20 30 40 50 70 100 140 200 270 and the pan, 12 figures", LIST, 0, 1e6
            ),
        ),
        "number",
        "sum of (weight × sieve multiplier) / sum of weights",
        "AFS grain fineness procedure, as in Heine, Loper & Rosenthal, Principles of Metal Casting (recalled)",
        lambda v: sand.grain_fineness(v["retained"]),
        Window(
            70, 125, "course notes 60–100, AFS practice 80–140 for aluminium (recalled); natural sand is finer", "gfn"
        ),
    ),
    Sum(
        "afs-clay",
        "AFS clay",
        (grams("dry_g", "dried sample"), grams("washed_g", "the same after washing and drying")),
        "percent",
        "(dried − washed) / dried × 100",
        "AFS clay procedure (recalled)",
        lambda v: sand.afs_clay_pct(v["dry_g"], v["washed_g"]),
        caution=HOT_SAMPLE,
    ),
    Sum(
        "moisture",
        "Moisture of green sand",
        (grams("wet_g", "sample as it is"), grams("dry_g", "the same dried at 105–110 °C")),
        "percent",
        "(wet − dry) / wet × 100",
        "AFS moisture procedure, wet basis",
        lambda v: sand.moisture_pct(v["wet_g"], v["dry_g"]),
        Window(
            3.0, 4.5, "Heine, Loper & Rosenthal for synthetic sand (recalled); natural sand is wetter", "moisture_pct"
        ),
        caution=HOT_SAMPLE,
    ),
    Sum(
        "permeability",
        "AFS permeability number",
        (
            Input("time_s", "time for the air to pass", "seconds", 0.1, 36_000),
            Input("pressure_g_cm2", "pressure of the air in g/cm²", "number", 0.01, 1000, "10"),
            Input("air_cm3", "volume of air", "volume", 1, 1e6, "2000"),
            Input("height_mm", "height of the specimen", "length", 1, 1000, "50.8"),
            Input("area_mm2", "its cross-section", "area", 1, 1e6, "2026.8"),
        ),
        "number",
        "air × height / (pressure × area × minutes); 3007.2 / seconds for the standard specimen at 10 g/cm²",
        "AFS permeability test",
        permeability,
        Window(25, 75, "AFS practice 25–70, Dietert 10–30, course notes 80–120; compare one base sand", "permeability"),
    ),
    Sum(
        "compactability",
        "Compactability",
        (
            Input("loose_mm", "height of the riddled sand before ramming", "length", 1, 1000),
            Input("rammed_mm", "height after three rams", "length", 0, 1000),
        ),
        "percent",
        "(loose − rammed) / loose × 100",
        "AFS compactability test",
        lambda v: sand.compactability_pct(v["loose_mm"], v["rammed_mm"]),
        Window(40, 47, "course notes 38–42, lexicon 45, AFS practice 40–50 (recalled)", "compactability_pct"),
    ),
    Sum(
        "loss-on-ignition",
        "Loss on ignition",
        (grams("dried_g", "dried sample"), grams("fired_g", "the same fired at 982 °C (1800 °F)")),
        "percent",
        "(dried − fired) / dried × 100",
        "AFS practice (recalled)",
        lambda v: sand.loss_on_ignition_pct(v["dried_g"], v["fired_g"]),
        Window(0.5, 2.5, "AFS practice for aluminium without sea coal (recalled)", "loi_pct"),
        caution=HOT_SAMPLE,
    ),
    Sum(
        "mulling-efficiency",
        "Mulling efficiency",
        (
            Input("strength_kpa", "green strength of the prepared sand", "pressure", 0, 2000),
            Input(
                "full_strength_kpa",
                "green strength of the same sand fully mulled, 10 min or more",
                "pressure",
                0.1,
                2000,
            ),
        ),
        "percent",
        "prepared / fully mulled × 100",
        "reference mulling TJFS-108; the ratio is common practice (recalled)",
        lambda v: sand.mulling_efficiency_pct(v["strength_kpa"], v["full_strength_kpa"]),
        Window(60, None, "AFS practice (recalled)"),
    ),
)
