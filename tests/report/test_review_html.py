"""The page to print: well formed, self-contained, every text escaped, every picture said in words, grey on paper."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from defectlog.book.acts import writing
from defectlog.book.open import open_book
from defectlog.cli.main import run
from defectlog.jobs.invented_shop import write_sheets
from defectlog.jobs.review import review_of
from defectlog.jobs.rules import the_rules
from defectlog.records.kinds import Finding, Mould, Pattern, Remedy, Sand
from defectlog.report.html import STYLE, Html, element, safe
from defectlog.report.review_answers import Reviewed
from defectlog.report.review_html import review_html
from defectlog.report.svg import nice_top
from defectlog.rulebase.load import load_rules
from tests.cli.small_shop import days_ago
from tests.report.printed import checked

MARCH, JANUARY, TODAY = date(2026, 3, 1), date(2026, 1, 1), date(2026, 4, 1)
HOSTILE = '<script>alert("1")</script> & \'=1+1 [b] {x} %s'


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("printed")
    write_sheets(folder / "sheets")
    assert run(["--book", str(folder / "shop.db"), "import", str(folder / "sheets")]) == 0
    return folder / "shop.db"


def page_of(
    place: Path, first: date = MARCH, last: date | None = None, pattern: str = "", units: str = "metric"
) -> str:
    rules = the_rules(place)
    with open_book(place, read_only=True) as book:
        return review_html(review_of(book, rules, first, last, pattern=pattern, full=True), rules, units, TODAY)


def test_the_month_as_a_page_keeps_every_rule_of_a_page(shop: Path) -> None:
    page = checked(page_of(shop))
    assert page.texts("h1") == ["Scrap: March 2026"]
    sections = page.texts("h2")
    for section in ("Totals", "Patterns", "Defects", "The month day by day", "Not enough data", "Decided today"):
        assert section in sections
    assert len(page.all("svg")) >= 10


def test_the_other_pages_keep_them_too(shop: Path) -> None:
    assert checked(page_of(shop, pattern="P-130")).texts("h1") == ["P-130 lamp base: March 2026"]
    assert checked(page_of(shop, JANUARY, MARCH)).texts("h1") == ["Scrap: January 2026 to March 2026"]
    checked(page_of(shop, units="us"))


def test_a_month_has_one_interval_on_a_page(shop: Path) -> None:
    """In the table beside the picture and in the table of the months."""
    rows = [words for words in checked(page_of(shop, JANUARY, MARCH)).texts("tr") if words.startswith("2026-0")]
    for month in ("2026-01", "2026-02", "2026-03"):
        with_all = [row for row in rows if row.startswith(month) and "–" in row]
        ends = {re.findall(r"%(\d[\d.]*–[\d.]+) %|% ?(\d[\d.]*–[\d.]+) %", row)[0] for row in with_all}
        assert len(with_all) == 2 and len(ends) == 1, rows


def test_a_month_with_nothing_in_it_is_a_page_all_the_same(shop: Path) -> None:
    page = checked(page_of(shop, date(2024, 5, 1)))
    assert "Nothing was poured in that time, and nothing found." in page.texts("p")


def test_every_picture_has_its_figures_in_a_table_or_in_its_own_text(shop: Path) -> None:
    """The counts of the place map stand as text in the picture, and again in the table with their sums: 84 castings on
    the cope face (37), below the skin (23), in the thin section (2) or at no place on record (22)."""
    text = page_of(shop, pattern="P-104")
    page = checked(text)
    (picture,) = [words for _, _, words in page.all("svg") if "Place map" in words]
    assert "cope face" in picture and "13" in picture
    rows = [words for words in page.texts("tr") if words.startswith("sum")]
    assert rows == ["sum372322284"]


def test_triangles_mark_what_stands_out_and_point_up_for_worse(shop: Path) -> None:
    page = checked(page_of(shop, pattern="P-104"))
    (chart,) = [words for _, _, words in page.all("svg") if "Scrap rate of P-104" in words]
    assert "Stands out: 2026-03." in chart
    assert page.all("polygon")


def test_only_black_white_and_grey_are_used(shop: Path) -> None:
    for colour in re.findall(r"#[0-9a-fA-F]{3,6}\b", page_of(shop)):
        digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
        assert digits[:2] == digits[2:4] == digits[4:], colour
    assert "print-color-adjust: exact" in STYLE and "size: auto" in STYLE


def test_the_same_review_is_the_same_page(shop: Path) -> None:
    assert page_of(shop) == page_of(shop)


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    """Every text that a person can type is markup, a formula and a template; the book takes it as it stands."""
    place = tmp_path / "hostile.db"
    when = days_ago(40)
    with open_book(place) as book, writing(book, "test") as act:
        act.add(Pattern(pattern="<i>P</i>", name=HOSTILE, impressions=4, casting_kg=1.0, note=HOSTILE))
        act.add(Sand(sand="<b>S</b>", mixed_at=when, moisture_pct=3.0, note=HOSTILE))
        for number in range(6):
            name = f"<u>{number}</u>"
            act.add(Mould(mould=name, pattern="<i>P</i>", sand="<b>S</b>", poured_at=when, moulder=HOSTILE))
            act.add(Finding(mould=name, defect=HOSTILE, place=HOSTILE, castings=5, impression=2, disposition="scrap"))
        act.add(Remedy(pattern="<i>P</i>", defect=HOSTILE, change=HOSTILE, owner=HOSTILE, from_date=when.date()))
    return place


def test_text_that_people_typed_is_only_ever_text(hostile: Path) -> None:
    month = days_ago(40).date().replace(day=1)
    text = page_of(hostile, month, pattern="<i>P</i>")
    page = checked(text)
    assert "<script" not in text and "<i>" not in text and "<u>" not in text
    assert any('<script>alert("1")</script> & \'=1+1' in words for words in page.texts("td", "th"))


def test_people_are_not_named_on_the_page_unless_they_own_a_remedy(shop: Path) -> None:
    text = page_of(shop)
    for name in ("first moulder", "second moulder", "third moulder"):
        assert name not in text


def test_a_casting_charged_too_many_times_is_said_in_the_balance_and_listed(tmp_path: Path) -> None:
    when = days_ago(40)
    with open_book(tmp_path / "shop.db") as book, writing(book, "test") as act:
        act.add(Pattern(pattern="P-104", impressions=4))
        act.add(Mould(mould="M-1", pattern="P-104", poured_at=when))
        act.add(Finding(mould="M-1", defect="sink", castings=5, disposition="scrap"))
    page = checked(page_of(tmp_path / "shop.db", when.date().replace(day=1)))
    counts = (
        "The counts: 4 poured = 0 good first time + 5 scrapped, 0 reworked, 0 used as is, 0 undecided, less 1 charged"
    )
    assert any(words.startswith(counts) for words in page.texts("p"))
    assert f"M-1P-104{when.date()}45" in page.texts("tr")


def test_elements_escape_all_but_finished_markup() -> None:
    assert safe("\x1b[31mred\u202edeR\n") == "·[31mred·deR "
    assert safe("<b>&\"'") == "&lt;b&gt;&amp;&quot;&#x27;"
    assert element("p", "<b>", Html("<br>"), class_='a"b') == '<p class="a&quot;b">&lt;b&gt;<br></p>'
    assert element("br") == "<br>"
    assert element("td", None, title=None) == "<td>None</td>"


@pytest.mark.parametrize(
    ("highest", "top"), [(0.0, 1.0), (0.031, 0.04), (0.1, 0.1), (0.21, 0.25), (1.0, 1.0), (7.0, 8.0), (13.0, 15.0)]
)
def test_an_axis_ends_at_a_round_number(highest: float, top: float) -> None:
    assert nice_top(highest) == pytest.approx(top)


def test_a_slipped_back_remedy_is_said_to_be_open_again(shop: Path) -> None:
    from defectlog.records.ledgers import RemedyTally, Tally
    from defectlog.review.remedy_month import remedy_reviews

    rules = load_rules()
    before, good, bad = Tally(60, 20, 240, 30), Tally(60, 0, 240, 0), Tally(60, 15, 240, 15)
    remedy = Remedy(pattern="P-104", defect="gas-holes", change="dryer sand", verdict="worked")
    months = ((date(2026, 1, 1), good), (date(2026, 2, 1), good), (MARCH, bad))
    tally = RemedyTally(7, remedy, date(2026, 1, 1), before, Tally(180, 15, 720, 15), months)
    with open_book(shop, read_only=True) as book:
        reviewed: Reviewed = review_of(book, rules, MARCH)
    reviewed = replace(reviewed, review=replace(reviewed.review, remedies=remedy_reviews([tally], MARCH)))
    page = checked(review_html(reviewed, rules, "metric", TODAY))
    assert any("slipped back: open again" in words and "15 bad of 60 moulds" in words for words in page.texts("td"))
