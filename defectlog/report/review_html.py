"""The review as one page to print for the scrap meeting: self-contained, black and white, every chart with its table.

The order is that of the meeting: did last month's changes work; totals against what the job mix makes expected; the
worst patterns; the worst defects; places; readings beside the scrap; what the record is too thin for.
"""

from collections.abc import Iterator
from datetime import date

from defectlog.report.html import Html, bullets, data_table, document, element
from defectlog.report.review import pattern_row
from defectlog.report.review_answers import Reviewed
from defectlog.report.review_html_charts import (
    defect_section,
    map_sections,
    series_sections,
    shop_section,
    strip_sections,
)
from defectlog.report.review_months import (
    MONTH_COLUMNS,
    MOST_LISTED,
    SPAN_COLUMNS,
    marked_months,
    month_row,
    span_pattern_row,
)
from defectlog.report.review_words import (
    RULE_OF_CHARGING,
    between,
    defect_words,
    gap_words,
    kg_words,
    month_words,
    rate_words,
    reading_gap_words,
    remedy_counts,
    remedy_state,
    sentence_name,
    share_of,
    slip_words,
    still_to_come,
)
from defectlog.review.not_enough import reading_gaps
from defectlog.rulebase.shapes import RuleBase
from defectlog.units import symbol

MOST_PATTERNS_PRINTED = 40
DECISIONS = 3


def review_html(reviewed: Reviewed, rules: RuleBase, units: str, today: date) -> str:
    """The whole page. `today` stands at its foot."""
    title = heading(reviewed)
    body = [
        element("header", element("h1", title), element("p", RULE_OF_CHARGING, class_="quiet")),
        *remedy_section(reviewed, rules),
        *totals_section(reviewed, units),
        *month_section(reviewed),
        *pattern_section(reviewed, rules),
        *series_sections(reviewed),
        *defect_section(reviewed, rules, units),
        *crossed_section(reviewed, rules),
        *found_section(reviewed),
        *map_sections(reviewed, rules),
        *strip_sections(reviewed, units),
        *balance_section(reviewed),
        *gap_section(reviewed),
        *notes_section(reviewed),
        *decisions_section(),
        element(
            "footer",
            f"Printed from the record book on {today.isoformat()}. Rates are held against each pattern's "
            "own past; there is no norm for a shop like this one.",
        ),
    ]
    return document(title, body)


def heading(reviewed: Reviewed) -> str:
    what = f"{reviewed.pattern} {reviewed.pattern_name}".strip() if reviewed.pattern else "Scrap"
    by = "" if reviewed.whole.by == "cast" else ", by the month found"
    return f"{what}: {reviewed.period}{by}"


def remedy_section(reviewed: Reviewed, rules: RuleBase) -> Iterator[Html]:
    remedies = reviewed.whole.remedies
    if not remedies:
        return
    yield element("h2", "What was changed, and did it work")
    yield data_table(
        "Remedies, overdue first",
        ("no.", "pattern and defect", "change", "from", "who", "bad moulds", "how it stands"),
        (
            (
                row.tally.number,
                f"{row.tally.remedy.pattern}, {sentence_name(row.tally.remedy.defect, rules)}",
                row.tally.remedy.change,
                element("span", row.tally.started or "not on record", class_="d"),
                row.tally.remedy.owner or "not on record",
                remedy_counts(row).removeprefix("bad moulds "),
                "; ".join(part for part in (remedy_state(row), slip_words(row), still_to_come(row)) if part),
            )
            for row in remedies
        ),
    )


def totals_section(reviewed: Reviewed, units: str) -> Iterator[Html]:
    whole = reviewed.whole
    counts = whole.counts
    yield element("h2", "Totals")
    if not counts.castings and not whole.defects:
        yield element("p", "Nothing was poured in that time, and nothing found.")
        return
    interval = f", likely {between(whole.interval)}" if whole.interval else ""
    facts: list[tuple[str, object, str]] = [
        ("poured", counts.castings, f"castings in {counts.moulds} moulds"),
        ("scrapped", counts.scrapped, f"{rate_words(whole.scrap_rate)}{interval}"),
        ("good first time", value(whole.first_pass), share_of(whole.first_pass, counts.castings)),
        ("reworked", counts.reworked, share_of(counts.reworked, counts.castings)),
        ("returned by customers", whole.returned, "castings, whatever became of them"),
        ("weight of the scrap", kg_words(whole.kg, units), f"{symbol('mass', units)}, without gates and feeders"),
    ]
    if whole.cost.total is not None:
        facts.append(("cost of the scrap", f"{whole.cost.total:.2f}", f"{whole.currency}, at the shop's own rates"))
    yield element("dl", *(fact(*item) for item in facts), class_="facts")
    yield element("p", balance_words(reviewed))
    yield from expected_words(reviewed)
    yield from shop_section(reviewed)


def fact(name: str, figure: object, beside: str) -> Html:
    return element("div", element("dt", name), element("dd", figure, element("small", beside)))


def value(number: int | None) -> str:
    return "–" if number is None else str(number)


def balance_words(reviewed: Reviewed) -> str:
    whole = reviewed.whole
    counts = whole.counts
    parts = (
        f"{counts.scrapped} scrapped, {counts.reworked} reworked, {counts.used_as_is} used as is, "
        f"{counts.undecided} undecided"
    )
    if whole.first_pass is None:
        return f"Found in this time: {parts}."
    excess = f", less {whole.excess} charged too many (listed below)" if whole.excess else ""
    return f"The counts: {counts.castings} poured = {whole.first_pass} good first time + {parts}{excess}."


def expected_words(reviewed: Reviewed) -> Iterator[Html]:
    if reviewed.span is not None:
        if reviewed.span.expected is not None:
            yield element(
                "p",
                f"Job mix: each pattern at its own past rate would have scrapped {reviewed.span.expected:.0f}; "
                f"of those patterns {reviewed.span.expected_of} were.",
            )
        return
    mix = reviewed.review.mix
    if mix is not None and mix.expected is not None:
        usual = f", usual range {mix.low:.0f} to {mix.high:.0f}" if mix.low is not None and mix.high is not None else ""
        yield element(
            "p",
            f"Job mix: each pattern at its own past rate would have scrapped {mix.expected:.0f} of {mix.castings}"
            f"{usual}; {mix.scrapped} were.",
        )


def month_section(reviewed: Reviewed) -> Iterator[Html]:
    span = reviewed.span
    if span is None:
        return
    yield element("h2", "Month by month")
    rows = [*(month_row(month, month_words(month.month)) for month in span.months), month_row(span, "sum")]
    yield data_table("Castings by month", MONTH_COLUMNS, rows, range(1, 10), last_is_sum=True)
    marked = marked_months(span)
    if marked:
        yield element("h3", "Months that stand out from the pattern's own past")
        yield bullets(marked[: 2 * MOST_LISTED])


def pattern_section(reviewed: Reviewed, rules: RuleBase) -> Iterator[Html]:
    if reviewed.span is not None:
        rows = [span_pattern_row(row, rules) for row in reviewed.span.patterns[:MOST_PATTERNS_PRINTED]]
        yield element("h2", "Patterns")
        yield data_table("Over these months, worst first", SPAN_COLUMNS, rows, range(1, 6))
        return
    patterns = reviewed.review.patterns
    if not patterns:
        return
    costed = reviewed.review.cost.total is not None
    yield element("h2", "Patterns")
    yield data_table(
        "Worst first; “likely” is the 95 % interval; in brackets the scrap of its own past",
        ("pattern", "moulds", "castings", "scrap", "rate", "likely", "against its past", "main defect")
        + (("cost",) if costed else ()),
        (pattern_row(row, rules, costed=costed) for row in patterns[:MOST_PATTERNS_PRINTED]),
        (1, 2, 3, 4, 5, 8),
    )
    if len(patterns) > MOST_PATTERNS_PRINTED:
        more = len(patterns) - MOST_PATTERNS_PRINTED
        yield element("p", f"{more} more patterns in the workbook and the CSV sheet.", class_="quiet")
    if any(row.firm for row in patterns):
        yield element("p", "! stands out even though so many patterns were looked at.", class_="quiet")


def crossed_section(reviewed: Reviewed, rules: RuleBase) -> Iterator[Html]:
    """Pattern by defect: scrapped castings."""
    review = reviewed.review
    if reviewed.span is not None or reviewed.pattern or len(review.crossed) < 2:
        return
    defects = [row.defect for row in review.defects[:7]]
    patterns = [row.pattern for row in review.patterns if row.counts.scrapped][:MOST_LISTED]
    others = any(defect not in defects for _, defect in review.crossed)
    rows = []
    for pattern in patterns:
        cells = [review.crossed.get((pattern, defect), 0) for defect in defects]
        of_pattern = sum(count for (name, _), count in review.crossed.items() if name == pattern)
        rest = [of_pattern - sum(cells)] if others else []
        rows.append([pattern, *(cell or "" for cell in (*cells, *rest)), of_pattern])
    columns = ["pattern", *(defect_words(defect, rules) for defect in defects), *(["other"] if others else []), "all"]
    yield data_table("Castings scrapped, pattern by defect", columns, rows, range(1, len(columns)))


def found_section(reviewed: Reviewed) -> Iterator[Html]:
    found = reviewed.whole.found
    if sum(found.values()):
        rows = [(stage, count, share_of(count, sum(found.values()))) for stage, count in found.items()]
        yield element("h2", "Where it was found")
        found_at = data_table(
            "Castings scrapped, by where they were found", ("found at", "castings", "share"), rows, (1, 2)
        )
        yield element("div", found_at, class_="narrow")


def balance_section(reviewed: Reviewed) -> Iterator[Html]:
    rows = reviewed.whole.out_of_balance
    if not rows:
        return
    yield element("h2", "Counts that do not balance")
    yield data_table(
        "Moulds with more castings charged than they held; counted as written",
        ("mould", "pattern", "cast on", "castings", "charged"),
        ((row.mould, row.pattern, row.cast_on, row.castings, row.charged) for row in rows),
        (3, 4),
    )


def gap_section(reviewed: Reviewed) -> Iterator[Html]:
    lines = [gap_words(gap) for gap in reviewed.whole.gaps]
    if reviewed.strip is not None:
        units = {row.reading: row.unit for row in reviewed.strip.rows}
        lines += [reading_gap_words(gap, units[gap.what]) for gap in reading_gaps(reviewed.strip)]
    if reviewed.span is None:
        too_few = [row.pattern for row in reviewed.review.patterns if row.signal == "too few"]
        lines += [f"too few to tell: {', '.join(too_few)}"] if too_few else []
    if lines:
        yield element("h2", "Not enough data")
        yield bullets(lines)


def notes_section(reviewed: Reviewed) -> Iterator[Html]:
    notes = [] if reviewed.span is not None else list(reviewed.review.notes)
    if reviewed.whole.cost.total is not None:
        notes += [f"Cost. {line}" for line in reviewed.whole.cost_method]
    if notes:
        yield element("h2", "What to bear in mind")
        yield bullets(notes)


def decisions_section() -> Iterator[Html]:
    """Room to write: at most three things, each with one change, one owner, one check."""
    yield element("h2", "Decided today")
    yield element(
        "div",
        data_table(
            "Three things at most: one change each, one person who sees to it, one day to check",
            ("", "pattern and defect", "one change", "from mould", "who", "how many to check", "check on"),
            [(number, "", "", "", "", "", "") for number in range(1, DECISIONS + 1)],
        ),
        class_="write",
    )
