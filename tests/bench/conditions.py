"""The conditions under which simulated shops are tried: how long, how gappy, how drifting, how many candidates.

Each says in one line where its figures come from: a publication, the design's own table, or a judgement. The relations
between readings are in true_readings.py. A figure given as a judgement is an invention for testing.
"""

from dataclasses import dataclass, replace

# How many harmless readings lie past the handbook's limit more often than not, because it does not suit the shop.
HABITS = 0.2


@dataclass(frozen=True)
class Condition:
    """How kind the shop is to whoever must find the fault.

    `missing`, `bad_days`, `mislabelled`, `habits` are shares; `limit_shift` is how far the true limit lies from the
    handbook's, in softnesses, either way; `smooth`: the failure rate rises gradually past it; `planted`: how many
    causes are at work; `candidates`: how many compete (0: all that the rule base has); `related`: readings go together
    as published; `memory`: how much of its departure from the usual a day hands to the next (None: each unit remembers
    four tenths of the one before, whatever the day); `heats`: fewest and most a day; `plants`: causes that have a
    reading to themselves ("read"), that no reading shows ("unread"), or either ("any"); `as_named`: a cause is at work
    as often as the handbooks name it for the defect, else each as often as the next.
    """

    name: str
    because: str
    days: int = 105
    missing: float = 0.30
    limit_shift: float = 1.0
    smooth: bool = True
    bad_days: float = 0.06
    mislabelled: float = 0.10
    habits: float = HABITS
    planted: int = 1
    candidates: int = 0
    related: bool = False
    memory: float | None = None
    heats: tuple[int, int] = (2, 3)
    plants: str = "read"
    as_named: bool = True


# Twenty-one pouring days a month; the design's own table was measured so.
ONE_MONTH, TWO_MONTHS, FIVE_MONTHS = 21, 42, 105

PLAIN = Condition(
    "plain", "the design's plain case: a sharp limit where the handbook puts it, no bad days, no wrong label",
    limit_shift=0.0, smooth=False, bad_days=0.0, mislabelled=0.0,
)  # fmt: skip
HARD = Condition("hard", "the design's hard case: limit shifted, smooth response, 6 % bad days, 10 % mislabelled")
HARD_TWO_MONTHS = replace(
    HARD, name="hard, 2 months, half missing", because="the design's third column", days=TWO_MONTHS, missing=0.50
)
HARD_ONE_MONTH = replace(
    HARD, name="hard, 1 month, half missing", because="the design's fourth column", days=ONE_MONTH, missing=0.50
)
NOTHING_FIVE_MONTHS = replace(HARD, name="nothing planted, 5 months", because="as hard, no cause", planted=0)
NOTHING_ONE_MONTH = replace(
    HARD_ONE_MONTH, name="nothing planted, 1 month", because="as hard, 1 month, no cause", planted=0
)

SMOOTH = replace(
    PLAIN, name="plain + smooth response", smooth=True, limit_shift=1.0,
    because="defects rose gradually over moistures of 2.5, 3.5 and 4.5 % (moraref 98971903384881725)",
)  # fmt: skip
BAD_DAYS = replace(
    PLAIN, name="plain + bad days", bad_days=0.12,
    because="scrap comes in runs: a foundry's monthly index was a SARIMA(0,1,1) series (Casarin et al. 2013)",
)  # fmt: skip
MISLABELLED = replace(
    PLAIN, name="plain + 20 % mislabelled", mislabelled=0.20,
    because="inspection by eye is about 80 % effective (Juran 1935, Sinclair 1979, as told by Schorn, AFS 2012)",
)  # fmt: skip
RELATED = replace(
    PLAIN, name="plain + related readings", related=True,
    because="moisture, clay, compactability and strength tied by ICRI report 610 (2003); see true_readings.py",
)  # fmt: skip
DRIFTING = replace(
    PLAIN, name="plain + slow drift", memory=0.83,
    because="a process series with lag-one autocorrelation 0.83 (SAS/QC manual); sand composition 0.97 a day",
)  # fmt: skip

# Of the causes that the rule base names for these defects, no reading shows 60 of 130.
ANY_PLAIN = replace(PLAIN, name="plain, any cause", plants="any", because="as plain, any of them by lot")
ANY_HARD = replace(HARD, name="hard, any cause", plants="any", because="as hard, any of them by lot")

# Everything at once, and from there one thing changed at a time.
LIFELIKE = Condition(
    "lifelike: 8 candidates, 2 months, 45 % missing", "smooth, related, drifting, bad days and mislabels together",
    days=TWO_MONTHS, missing=0.45, candidates=8, related=True, memory=0.83,
)  # fmt: skip
NOTHING_LIFELIKE = replace(LIFELIKE, planted=0)
# A shop of one to ten people or a school pours when there is enough to pour: judgement, no source.
SMALL_SHOP = replace(
    LIFELIKE, name="lifelike, pouring twice a week, 3 months", days=26, heats=(1, 2),
    because="twenty-six pouring days of one or two heats; common practice, no source",
)  # fmt: skip


def evenly(condition: Condition) -> Condition:
    """The same where the handbooks do not know how often each cause is at work."""
    because = "the handbooks' weights are wrong: each cause is planted as often as the next"
    return replace(condition, name=f"{condition.name}, planted evenly", because=because, as_named=False)


def varied(name: str, **changed: object) -> Condition:
    """The lifelike condition with some of its figures changed."""
    return replace(LIFELIKE, name=f"lifelike, {name}", because="as lifelike, one thing changed", **changed)  # type: ignore[arg-type]  # by name


CONDITIONS = (
    PLAIN, SMOOTH, BAD_DAYS, MISLABELLED, RELATED, DRIFTING,
    HARD, HARD_TWO_MONTHS, HARD_ONE_MONTH,
    LIFELIKE,
    varied("4 candidates", candidates=4), varied("16 candidates", candidates=16),
    varied("1 month", days=ONE_MONTH), varied("5 months", days=FIVE_MONTHS),
    varied("30 % missing", missing=0.30), varied("60 % missing", missing=0.60),
    varied("20 % mislabelled", mislabelled=0.20), varied("12 % bad days", bad_days=0.12),
    varied("two causes at once", planted=2), varied("two causes, 5 months", planted=2, days=FIVE_MONTHS),
    SMALL_SHOP,
    varied("a cause that no reading shows", plants="unread"),
    ANY_PLAIN, ANY_HARD,
    varied("any cause", plants="any"), varied("any cause, 5 months", plants="any", days=FIVE_MONTHS),
    replace(SMALL_SHOP, name="pouring twice a week, any cause", plants="any"),
    *map(evenly, (PLAIN, HARD, HARD_TWO_MONTHS, HARD_ONE_MONTH, LIFELIKE)),
    evenly(varied("1 month", days=ONE_MONTH)),
    NOTHING_FIVE_MONTHS, NOTHING_ONE_MONTH,
    replace(NOTHING_LIFELIKE, name="lifelike, nothing planted, 5 months", days=FIVE_MONTHS),
    replace(NOTHING_LIFELIKE, name="lifelike, nothing planted, 2 months"),
    replace(NOTHING_LIFELIKE, name="lifelike, nothing planted, 1 month", days=ONE_MONTH),
    replace(SMALL_SHOP, name="pouring twice a week, nothing planted", planted=0),
)  # fmt: skip
