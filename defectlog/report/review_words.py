"""The words of the review, the same in the terminal, on paper and in sheets."""

from datetime import date

from defectlog.diagnosis.phrases import UNIT_NAMES
from defectlog.records.fields import FieldSpec, field_of
from defectlog.records.kinds import Heat, Mould, Sand
from defectlog.report.page import counted
from defectlog.report.values import label_of
from defectlog.review.cost import Amount
from defectlog.review.intervals import Interval
from defectlog.review.not_enough import Gap
from defectlog.review.pattern_month import PatternReview
from defectlog.review.remedy_month import RemedyReview
from defectlog.review.wording import odds_text, share_text
from defectlog.rulebase.plain_names import defect_name as shop_name
from defectlog.rulebase.plain_names import lowered
from defectlog.rulebase.shapes import RuleBase
from defectlog.units import show_quantity, symbol, to_us

SIGNALS = {"none": "usual", "above": "worse", "below": "better", "too few": "too few to tell"}
NOT_KNOWN = "–"
NOT_NAMED = "not named"
RULE_OF_CHARGING = (
    "A casting is charged once, to its primary defect. Rates are of castings poured; trials and moulds lost before "
    "pouring are left out."
)


def defect_words(defect: str | None, rules: RuleBase) -> str:
    """ "Gas holes" for gas-holes; a shop's own name as it stands; "not named"."""
    if not defect:
        return NOT_NAMED
    return rules.defects[defect].name if defect in rules.defects else defect


def place_words(place: str, rules: RuleBase) -> str:
    parts = [part.strip() for part in place.split(",")]
    if all(part in rules.places for part in parts):
        return " and ".join(lowered(rules.places[part].name) for part in parts)
    return place or "not on record"


def impression_words(impression: int | None) -> str:
    return "not on record" if impression is None else str(impression)


def month_words(month: date) -> str:
    return month.strftime("%Y-%m")


def rate_words(rate: float | None) -> str:
    return NOT_KNOWN if rate is None else share_text(rate)


def share_of(part: int | None, of: int) -> str:
    """ "91 %", a dash where it cannot be told."""
    return NOT_KNOWN if part is None or not of else share_text(part / of)


def between(interval: Interval | None) -> str:
    """ "2.4–4.1 %"."""
    return (
        NOT_KNOWN if interval is None else f"{share_text(interval.low).removesuffix(' %')}–{share_text(interval.high)}"
    )


def verdict_words(row: PatternReview) -> str:
    """ "worse!", "usual", "no past"."""
    if not row.past_castings:
        return "no past"
    return f"{SIGNALS[row.signal]}{'!' if row.firm else ''}" if row.signal else ""


def against_past(row: PatternReview) -> str:
    """ "worse! (9 of 752)": the verdict and the scrapped castings of its own past."""
    if row.signal is None:
        return ""
    if not row.past_castings:
        return "no past"
    return f"{verdict_words(row)} ({row.past_scrapped} of {row.past_castings})".strip()


def kg_words(amount: Amount, units: str) -> str:
    return NOT_KNOWN if amount.total is None else f"{shown_amount(amount.total, 'mass', units):.1f}{star(amount)}"


def cost_words(amount: Amount) -> str:
    return NOT_KNOWN if amount.total is None else f"{amount.total:.2f}{star(amount)}"


def star(amount: Amount) -> str:
    """A figure that leaves something out carries a mark."""
    return "*" if amount.left_out else ""


def left_out_words(amount: Amount, of: str) -> str:
    """ " (4 castings without a weight left out)"."""
    return f" ({counted(amount.left_out, 'casting')} without a {of} left out)" if amount.left_out else ""


def shown_amount(value: float, quantity: str, units: str) -> float:
    return to_us(value, quantity) if units == "us" else value


def reading_spec(reading: str) -> FieldSpec:
    for kind in (Sand, Heat, Mould):
        try:
            return field_of(kind, reading)
        except KeyError:
            continue
    raise KeyError(reading)


def reading_words(reading: str) -> str:
    return label_of(reading_spec(reading))


def reading_title(reading: str, units: str) -> str:
    """ "moisture, %"."""
    unit = symbol(reading_spec(reading).quantity, units)
    return f"{reading_words(reading)}, {unit}" if unit else reading_words(reading)


def reading_value(reading: str, value: float | None, units: str) -> str:
    """The figure alone; the unit stands in the title."""
    if value is None:
        return NOT_KNOWN
    quantity = reading_spec(reading).quantity
    return show_quantity(shown_amount(value, quantity, units), "number", digits=3)


def remedy_state(row: RemedyReview) -> str:
    """ "answer due for 2 months", "slipped back: open again", "too soon", "worked"."""
    remedy = row.tally.remedy
    if row.due:
        waited = f" for {counted(row.months_due, 'month')}" if row.months_due else ""
        return f"answer due{waited}: {row.outcome.answer}"
    if row.slipped:
        return "slipped back: open again"
    return remedy.verdict or row.outcome.answer


def slip_words(row: RemedyReview) -> str:
    slip = row.slipped
    if slip is None:
        return ""
    return (
        f"judged to have worked, and back since {month_words(slip.since)}: {slip.lately.bad_moulds} bad of "
        f"{counted(slip.lately.moulds, 'mould')} since then, {slip.while_it_worked.bad_moulds} of "
        f"{slip.while_it_worked.moulds} while it worked ({odds_text(slip.odds_of_luck)})"
    )


def remedy_counts(row: RemedyReview) -> str:
    outcome = row.outcome
    return (
        f"bad moulds {outcome.before.bad_moulds} of {outcome.before.moulds} before, "
        f"{outcome.after.bad_moulds} of {outcome.after.moulds} since"
    )


def still_to_come(row: RemedyReview) -> str:
    needed = row.outcome.still_needed
    return f"{counted(needed, 'more mould')} to pour before it can be told" if needed else ""


def gap_words(gap: Gap) -> str:
    """ "the impression: on record for 70 of 98 castings; open: whether one impression is to blame"."""
    return f"{gap.what}: on record for {gap.on_record} of {counted(gap.of, 'casting')}; open: {gap.so}"


def reading_gap_words(gap: Gap, unit: str) -> str:
    """ "moisture: on record for 10 of 40 batches of sand"."""
    return f"{reading_words(gap.what)}: on record for {gap.on_record} of {counted(gap.of, *UNIT_NAMES[unit])}"


def sentence_name(defect: str | None, rules: RuleBase) -> str:
    return shop_name(defect, rules) if defect else "defect not named"
