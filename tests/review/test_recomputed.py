"""Every figure of `review --json`, of four invented books, worked out a second time from the sheets as typed.

The second working is tests/review/recomputed.py: pandas for the counts, scipy and statsmodels for intervals, limits,
odds, the strata of two years and the tests on remedies.
"""

import json
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from statsmodels.stats.proportion import confint_proportions_2indep

from defectlog.cli.main import run
from defectlog.review.usual import month_before
from tests.review.invented_books import BOOKS, MARCH, Sheets, Traits, sheets_of, write_book
from tests.review.recomputed import (
    FOUND,
    Frames,
    Shop,
    Verdict,
    by_mould,
    counts_of,
    effect,
    firm_of,
    frames_of,
    judged,
    odds_of_fullest,
    period,
    shop_of,
    wilson,
    years,
)

CLOSE = {"rel": 1e-6, "abs": 1e-9}


class Case:
    """One invented book: its sheets, its frames, and the review as JSON."""

    def __init__(self, traits: Traits, folder: Path) -> None:
        self.traits = traits
        self.sheets: Sheets = sheets_of(traits)
        self.frames: Frames = frames_of(self.sheets)
        self.book = write_book(traits, folder)
        worked = [row for row in self.sheets["remedies"] if row.get("verdict") == "worked"]
        self.changed = {str(row["pattern"]): date.fromisoformat(str(row["from_date"])) for row in worked}
        self.shop: Shop = shop_of(self.frames, MARCH, self.changed)
        self.asked: dict[tuple[str, ...], dict[str, Any]] = {}

    def month(self) -> pd.DataFrame:
        moulds = by_mould(self.frames)
        return moulds[moulds["month"] == period(MARCH)]

    def charged(self, by: str = "cast") -> pd.DataFrame:
        found = self.frames.findings
        return found[(found["month"] if by == "cast" else found["found_on"]) == period(MARCH)]

    def verdicts(self) -> dict[str, Verdict]:
        return {str(name): judged(rows, str(name), self.shop) for name, rows in self.month().groupby("pattern")}


@pytest.fixture(scope="module", params=BOOKS, ids=lambda traits: traits.name)
def case(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Case:
    return Case(request.param, tmp_path_factory.mktemp(request.param.name))


def review(case: Case, capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, Any]:
    """Each question is asked once a book."""
    if more not in case.asked:
        capsys.readouterr()
        assert run(["--book", str(case.book), "review", "2026-03", "--json", *more]) == 0
        case.asked[more] = json.loads(capsys.readouterr().out)
    return case.asked[more]


def cost_of(case: Case, row: "pd.Series[Any]") -> float | None:
    """By hand from the rates of the shop: metal less remelt, melt loss on what is poured, moulding, what was spent."""
    rates = {name: float(value) for name, value in (case.traits.rates_of_the_shop or {}).items() if name != "currency"}
    if not rates:
        return None
    if np.isnan(row["kg"]):
        return None
    loss = row["poured_each"] * rates.get("melt_loss_pct", 0) / 100 * rates.get("metal_per_kg", 0)
    metal = row["kg"] * (rates.get("metal_per_kg", 0) - rates.get("remelt_per_kg", 0))
    labour = rates.get("moulding_minutes", 0) / 60 * rates.get("labour_per_hour", 0)
    return float(metal + loss + labour + rates.get(f"spent_at_{row['found']}", 0))


def excess_of(moulds: pd.DataFrame, charged: pd.DataFrame) -> dict[str, int]:
    """Mould → castings charged beyond those in it."""
    number = charged.groupby("mould").size()
    held = moulds.set_index("mould")["castings"]
    over = (number - held.reindex(number.index)).clip(lower=0)
    return {str(name): int(value) for name, value in over[over > 0].items()}


def test_the_totals(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer, month, charged = review(case, capsys), case.month(), case.charged()
    counts = counts_of(month, charged)
    assert {key: answer[key] for key in counts} == counts
    excess = sum(excess_of(month, charged).values())
    assert answer["charged_too_many"] == excess
    assert answer["first_pass"] == counts["castings"] - len(charged) + excess
    assert answer["returned"] == int((charged["found"] == "customer").sum())
    assert answer["scrap_rate"] == pytest.approx(counts["scrapped"] / counts["castings"], **CLOSE)
    wide = wilson(counts["scrapped"], counts["castings"], effect(month["castings"], case.shop.mould_rho))
    assert answer["interval"] == pytest.approx(wide, **CLOSE)
    kept_out = case.frames.kept_out[case.frames.kept_out["month"] == period(MARCH)]
    assert answer["trials"] == int((kept_out["trial"] == "yes").sum())
    assert answer["lost_before_pouring"] == int((kept_out["trial"] != "yes").sum())
    assert answer["undated"] == case.frames.undated


def test_the_expected_scrap_for_the_job_mix(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    mix = review(case, capsys)["job_mix"]
    rows = {name: verdict for name, verdict in case.verdicts().items() if verdict.usual is not None}
    cast = case.month().groupby("pattern")["castings"].sum()
    expected = sum((verdict.usual or 0) * cast[name] for name, verdict in rows.items())
    spread = np.sqrt(sum((verdict.variance or 0) * cast[name] ** 2 for name, verdict in rows.items()))
    assert mix["expected"] == pytest.approx(expected, **CLOSE)
    assert mix["interval"] == pytest.approx([max(0, expected - 1.96 * spread), expected + 1.96 * spread], **CLOSE)
    assert mix["castings"] == cast[list(rows)].sum()


def test_every_pattern(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer, month, charged = review(case, capsys), case.month(), case.charged()
    assert {row["pattern"] for row in answer["patterns"]} == set(month["pattern"])
    verdicts, excess = case.verdicts(), excess_of(month, charged)
    firm = firm_of(verdicts)
    for row in answer["patterns"]:
        name = row["pattern"]
        mine, bad = month[month["pattern"] == name], charged[charged["pattern"] == name]
        counts = counts_of(mine, bad)
        assert {key: row[key] for key in counts} == counts
        over = sum(excess.get(str(mould), 0) for mould in mine["mould"])
        assert (row["charged_too_many"], row["first_pass"]) == (over, counts["castings"] - len(bad) + over)
        wide = wilson(counts["scrapped"], counts["castings"], effect(mine["castings"], case.shop.rho(name)))
        assert row["interval"] == pytest.approx(wide, **CLOSE)
        past, verdict = case.shop.pasts[name], verdicts[name]
        assert (row["past"]["moulds"], row["past"]["castings"]) == (len(past), past["castings"].sum())
        assert row["past"]["scrapped"] == past["scrapped"].sum()
        if len(past):
            assert (row["past"]["from"], row["past"]["until"]) == (str(past["month"].min()), str(past["month"].max()))
        assert (row["signal"], row["chart"], row["creeping"]) == (verdict.signal, verdict.chart, verdict.creeping)
        assert row["firm"] == firm[name]
        assert row["odds_of_luck"] == (
            None if verdict.odds is None else pytest.approx(verdict.odds, rel=1e-6, abs=1e-8)
        )
        assert row["limits"] == (None if verdict.limits is None else pytest.approx(verdict.limits, rel=1e-6, abs=1e-8))
        usual = verdict.usual
        assert row["expected"] == (None if usual is None else pytest.approx(usual * counts["castings"], **CLOSE))
        check_weights(case, row, bad[bad["disposition"] == "scrap"])
        named = bad[(bad["disposition"] == "scrap") & (bad["defect"] != "")]["defect"].value_counts()
        most = sorted(named[named == named.max()].index)[0] if len(named) else None
        assert row["main_defect"] == most
        check_yield(row, mine)


def check_yield(row: dict[str, Any], mine: pd.DataFrame) -> None:
    """Weight of the castings in % of the metal poured, where the card has both."""
    if mine["kg"].isna().any() or mine["poured_each"].isna().any():
        assert row["yield_pct"] is None
        return
    share = (mine["kg"] * mine["castings"]).sum() / (mine["poured_each"] * mine["castings"]).sum() * 100
    assert row["yield_pct"] == pytest.approx(share, **CLOSE)


def check_weights(case: Case, row: dict[str, Any], scrap: pd.DataFrame) -> None:
    """A sum that leaves out nothing, else null."""
    kg = scrap["kg"].sum() if scrap["kg"].notna().all() else None
    assert row["kg"] == (None if kg is None else pytest.approx(kg, **CLOSE))
    costs = [cost_of(case, item) for _, item in scrap.iterrows()]
    known = [cost for cost in costs if cost is not None]
    costed = case.traits.rates_of_the_shop and len(known) == len(costs)
    assert row["cost"] == (pytest.approx(sum(known), **CLOSE) if costed else None)


def test_weight_and_cost_of_all(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer, charged = review(case, capsys), case.charged()
    scrap = charged[charged["disposition"] == "scrap"]
    assert answer["kg_left_out"] == int(scrap["kg"].isna().sum())
    weighed = scrap["kg"].notna().any() or scrap.empty
    assert answer["kg"] == (pytest.approx(scrap["kg"].sum(), **CLOSE) if weighed else None)
    costs = [cost_of(case, item) for _, item in scrap.iterrows()]
    known = [cost for cost in costs if cost is not None]
    assert answer["cost_left_out"] == len(costs) - len(known)
    costed = case.traits.rates_of_the_shop and (known or not costs)
    assert answer["cost"] == (pytest.approx(sum(known), **CLOSE) if costed else None)
    assert answer["currency"] == (case.traits.rates_of_the_shop or {}).get("currency", "")


@pytest.mark.parametrize("by", ["cast", "found"])
def test_defects_and_where_they_were_found(case: Case, by: str, capsys: pytest.CaptureFixture[str]) -> None:
    answer, charged = review(case, capsys, "--by", by), case.charged(by)
    scrap = charged[charged["disposition"] == "scrap"]
    groups = {str(name): group for name, group in scrap.groupby("defect")}
    assert {row["defect"] or "" for row in answer["defects"]} == set(groups)
    so_far = 0
    for row in answer["defects"]:
        group = groups[row["defect"] or ""]
        so_far += len(group)
        assert (row["castings"], row["moulds"]) == (len(group), group["mould"].nunique())
        assert row["patterns"] == sorted(group["pattern"].unique())
        assert row["cumulative"] == pytest.approx(so_far / len(scrap), **CLOSE)
        check_weights(case, row, group)
    assert [row["castings"] for row in answer["defects"]] == sorted(
        (row["castings"] for row in answer["defects"]), reverse=True
    )
    crossed = {(str(one), str(two)): len(group) for (one, two), group in scrap.groupby(["pattern", "defect"])}
    assert {(row["pattern"], row["defect"] or ""): row["castings"] for row in answer["pattern_defects"]} == crossed
    found = {stage: int((scrap["found"] == stage).sum()) for stage in FOUND}
    unknown = int((scrap["found"] == "").sum())
    assert answer["found"] == found | ({"not on record": unknown} if unknown else {})


def test_by_month_found(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer, month, charged = review(case, capsys, "--by", "found"), case.month(), case.charged("found")
    counts = counts_of(month, charged)
    assert {key: answer[key] for key in counts if key != "moulds_with_scrap"} == {
        key: value for key, value in counts.items() if key != "moulds_with_scrap"
    }
    assert answer["returned"] == int((charged["found"] == "customer").sum())
    assert answer["first_pass"] is answer["interval"] is answer["job_mix"] is None
    assert {row["signal"] for row in answer["patterns"]} <= {None}


def test_places(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer, charged = review(case, capsys), case.charged()
    groups = {(str(one), str(two)): group for (one, two), group in charged.groupby(["pattern", "defect"])}
    assert {(row["pattern"], row["defect"] or "") for row in answer["places"]} == set(groups)
    for row in answer["places"]:
        group = groups[row["pattern"], row["defect"] or ""]
        placed = group[group["impression"].notna()]
        plate = int(group["impressions"].iloc[0])
        counts = [int(placed[placed["impression"] == n]["mould"].nunique()) for n in range(1, plate + 1)]
        assert list(row["impressions"].values()) == counts
        assert (row["moulds"], row["castings"]) == (group["mould"].nunique(), len(group))
        assert row["impression_not_on_record"] == group[group["impression"].isna()]["mould"].nunique()
        if plate > 1 and sum(counts):
            assert row["odds_of_luck"] == pytest.approx(odds_of_fullest(counts), rel=1e-6, abs=1e-9)
        else:
            assert row["odds_of_luck"] is None
    for item in answer["place_maps"]:
        mine = charged[charged["pattern"] == item["pattern"]]
        cells = mine.assign(impression=mine["impression"].fillna(-1)).groupby(["impression", "place"]).size()
        told = {
            (-1 if c["impression"] is None else c["impression"], c["place"] or ""): c["castings"] for c in item["cells"]
        }
        assert told == {(int(one), two): int(count) for (one, two), count in cells.items()}
        assert item["castings"] == len(mine)


def test_what_is_not_enough(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer, charged = review(case, capsys), case.charged()
    plates = charged[charged["impressions"] > 1]
    expected = {
        "the defect": (charged, charged["defect"] != ""),
        "the impression": (plates, plates["impression"].notna()),
        "the place on the casting": (charged, charged["place"] != ""),
        "where it was found": (charged, charged["found"] != ""),
        "the day it was found": (charged, charged["found_at"].notna()),
        "what became of it": (charged, charged["disposition"] != "undecided"),
        "the weight of the casting": (charged, charged["kg"].notna()),
    }
    told = {row["what"]: (row["on_record"], row["of"]) for row in answer["not_enough"]}
    assert told == {
        name: (int(known.sum()), len(of)) for name, (of, known) in expected.items() if known.sum() < len(of)
    }


def test_what_is_out_of_balance(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer, month, charged = review(case, capsys), case.month(), case.charged()
    told = {row["mould"]: row["charged"] - row["castings"] for row in answer["out_of_balance"]}
    assert told == excess_of(month, charged)
    assert bool(told) <= case.traits.breaches


def test_two_years(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    told, expected = review(case, capsys)["year_on_year"], years(case.frames, MARCH)
    if expected is None:
        assert told is None
        return
    for key in ("patterns", "moulds", "moulds_with_scrap"):
        assert told[key] == expected[key]
    for key in ("odds_ratio", "interval", "chance"):
        assert told[key] == pytest.approx(expected[key], rel=1e-5)


def test_remedies(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    answer = review(case, capsys)
    assert len(answer["remedies"]) >= 2
    moulds, findings = by_mould(case.frames), case.frames.every_finding
    for row in answer["remedies"]:
        start = pd.Timestamp(row["started"])
        mine = moulds[(moulds["pattern"] == row["pattern"]) & (moulds["when"] < pd.Timestamp("2026-04-01"))]
        bad = set(findings[(findings["pattern"] == row["pattern"]) & (findings["defect"] == row["defect"])]["mould"])
        before = mine[(mine["when"] < start) & (mine["when"] >= start - pd.Timedelta(days=365))]
        after = mine[mine["when"] >= start]
        for name, rows in (("before", before), ("after", after)):
            assert row[name]["moulds"] == len(rows)
            assert row[name]["bad_moulds"] == int(rows["mould"].isin(bad).sum())
            assert row[name]["castings"] == rows["castings"].sum()
        check_odds(row)


def check_odds(row: dict[str, Any]) -> None:
    """Fisher's exact test one-sided, Newcombe's interval for the difference; a slip against the months that worked."""
    (bad, of), (worse, since) = ((row[k]["bad_moulds"], row[k]["moulds"]) for k in ("before", "after"))
    if not of or not since:
        return
    table = [[worse, since - worse], [bad, of - bad]]
    side = "greater" if row["answer"] == "made worse" else "less"
    if row["odds_of_luck"] is not None:
        assert row["odds_of_luck"] == pytest.approx(stats.fisher_exact(table, alternative=side).pvalue, rel=1e-6)
    low, high = confint_proportions_2indep(bad, of, worse, since, method="newcomb", compare="diff")
    assert row["interval"] == pytest.approx([low, high], rel=1e-5, abs=1e-8)
    assert row["difference"] == pytest.approx(bad / of - worse / since, **CLOSE)


def test_a_pattern_alone_has_the_figures_it_has_among_all(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    everything = review(case, capsys)
    for row in everything["patterns"]:
        alone = review(case, capsys, "--pattern", row["pattern"])
        assert alone["patterns"] == [row]
        assert (alone["castings"], alone["scrapped"], alone["kg"] or 0) == (
            row["castings"],
            row["scrapped"],
            pytest.approx(row["kg"]) if row["kg"] is not None else alone["kg"] or 0,
        )


def test_many_months_add_up(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    first = month_before(MARCH, 5)
    capsys.readouterr()
    assert run(["--book", str(case.book), "review", f"{first:%Y-%m}..2026-03", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    moulds = by_mould(case.frames)
    within = moulds[(moulds["month"] >= period(first)) & (moulds["month"] <= period(MARCH))]
    found = case.frames.findings
    charged = found[(found["month"] >= period(first)) & (found["month"] <= period(MARCH))]
    counts = counts_of(within, charged)
    assert {key: answer[key] for key in counts} == counts
    assert len(answer["months"]) == 6
    for key in ("castings", "scrapped", "reworked", "first_pass", "returned", "moulds"):
        assert answer[key] == sum(month[key] for month in answer["months"])
        assert answer[key] == sum(row[key] for row in answer["patterns"])
    assert answer["scrapped"] == sum(row["castings"] for row in answer["defects"]) == sum(answer["found"].values())
