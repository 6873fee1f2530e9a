"""The figures of a review worked out a second time, from the sheets as typed, with pandas, scipy and statsmodels.

Nothing here is taken from the program but the rules of counting (its documents say them) and the constants that are a
judgement: 12 months of past, 36 at most, odds of 0.005 a side, three times the usual as worth seeing.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import factorial
from typing import Any

import numpy as np
import pandas as pd
from scipy import special, stats
from statsmodels.stats.contingency_tables import StratifiedTable
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import proportion_confint

FOUND = ("shakeout", "fettling", "inspection", "machining", "test", "customer")
LEVEL, BASELINE, LOOK_BACK = 0.005, 12, 36


@dataclass
class Frames:
    """`moulds` that count, one a row; `findings` on them, one casting a row, primary ones and all."""

    moulds: pd.DataFrame
    findings: pd.DataFrame
    every_finding: pd.DataFrame
    kept_out: pd.DataFrame
    undated: int


def frames_of(sheets: Mapping[str, list[dict[str, object]]]) -> Frames:
    cards = pd.DataFrame(sheets["patterns"]).replace("", np.nan)
    moulds = pd.DataFrame(sheets["moulds"]).replace("", np.nan).merge(cards, on="pattern")
    moulds["castings"] = moulds["castings"].fillna(moulds["impressions"]).astype(int)
    moulds["when"] = pd.to_datetime(moulds["poured_at"])
    moulds["month"] = moulds["when"].dt.to_period("M")
    moulds["kg"] = pd.to_numeric(moulds["casting_kg"])
    moulds["poured_each"] = pd.to_numeric(moulds["poured_kg"]) / moulds["castings"]
    counted = moulds["trial"].isna() & (moulds["outcome"] != "lost before pouring")
    findings = pd.DataFrame(sheets["findings"]).replace("", np.nan)
    findings["primary"] = findings.get("primary", pd.Series(np.nan, index=findings.index))
    findings["castings"] = findings.get("castings", pd.Series(np.nan, index=findings.index))
    findings["disposition"] = findings["disposition"].fillna("undecided")
    findings["castings_bad"] = findings["castings"].fillna(1).astype(int)
    for text in ("defect", "place", "found"):
        findings[text] = findings[text].fillna("")
    good = moulds[counted & moulds["when"].notna()]
    joined = findings.drop(columns="castings").merge(good, on="mould")
    joined = joined.loc[joined.index.repeat(joined["castings_bad"])]
    joined["found_on"] = pd.to_datetime(joined["found_at"]).fillna(joined["when"]).dt.to_period("M")
    return Frames(
        moulds=good,
        findings=joined[joined["primary"] != "no"],
        every_finding=joined,
        kept_out=moulds[~counted & moulds["when"].notna()],
        undated=int((counted & moulds["when"].isna()).sum()),
    )


def period(month: date) -> pd.Period:
    return pd.Period(month, "M")


def counts_of(moulds: pd.DataFrame, charged: pd.DataFrame) -> dict[str, int]:
    """Of the moulds poured and the castings charged, one row of `charged` a casting."""
    became = charged["disposition"].value_counts()
    return {
        "moulds": len(moulds),
        "moulds_with_scrap": charged[charged["disposition"] == "scrap"]["mould"].nunique(),
        "castings": int(moulds["castings"].sum()),
        "scrapped": int(became.get("scrap", 0)),
        "reworked": int(became.get("rework", 0)),
        "used_as_is": int(became.get("use as is", 0)),
        "undecided": int(became.get("undecided", 0)),
    }


def by_mould(frames: Frames) -> pd.DataFrame:
    """Every mould with its castings and how many of them were scrapped."""
    scrap = frames.findings[frames.findings["disposition"] == "scrap"].groupby("mould").size()
    return frames.moulds.assign(scrapped=frames.moulds["mould"].map(scrap).fillna(0).astype(int))


def rho_of(groups: list[pd.DataFrame], bad: str, units: str) -> float | None:
    """Intraclass correlation by moments; a group is one pattern's clusters."""
    extra = room = 0.0
    for group in groups:
        total = group[units].sum()
        if len(group) < 2 or total <= 0:
            continue
        p = min(group[bad].sum() / total, 1.0)
        spread = ((group[bad] - p * group[units]) ** 2).sum() * len(group) / (len(group) - 1)
        extra += spread - p * (1 - p) * total
        room += p * (1 - p) * ((group[units] ** 2).sum() - total)
    return float(np.clip(extra / room, 0, 1)) if room > 0 else None


def effect(castings: pd.Series, rho: float) -> float:
    total = castings.sum()
    return max(1.0, 1 + rho * ((castings**2).sum() / total - 1)) if total else 1.0


def wilson(bad: float, of: float, deff: float) -> tuple[float, float]:
    number = of / max(deff, 1.0)
    low, high = proportion_confint(min(bad / of, 1.0) * number, number, method="wilson")
    return float(low), float(high)


@dataclass
class Shop:
    """The pasts of all patterns and what they say together."""

    moulds: pd.DataFrame
    pasts: dict[str, pd.DataFrame]
    since: dict[str, pd.DataFrame]
    mould_rho: float
    month_rho: float
    month_sigma: float

    def rho(self, pattern: str) -> float:
        past = self.pasts[pattern]
        own = rho_of([past], "scrapped", "castings") if (past["scrapped"] > 0).sum() >= 10 else None
        return self.mould_rho if own is None else own

    def sigma(self, pattern: str) -> float:
        past = self.pasts[pattern]
        own = own_sigma(past, self.rho(pattern)) if past["month"].nunique() >= 8 else None
        return max(1.0, self.month_sigma, own or 0.0)


def shop_of(frames: Frames, month: date, changed: Mapping[str, date]) -> Shop:
    """`changed`: pattern → first day of a remedy that worked."""
    moulds, now = by_mould(frames), period(month)
    pasts, since = {}, {}
    for pattern, group in moulds.groupby("pattern"):
        before = group[(group["month"] < now) & (group["month"] >= now - LOOK_BACK)]
        if pattern in changed and changed[str(pattern)] < month:
            start = changed[str(pattern)]
            before = before[before["month"] >= period(start) + (0 if start.day == 1 else 1)]
        months = sorted(before["month"].unique())
        pasts[str(pattern)] = before[before["month"].isin(months[:BASELINE])]
        since[str(pattern)] = before[before["month"].isin(months[BASELINE:])]
    with_bad = sum(int((past["scrapped"] > 0).sum()) for past in pasts.values())
    mould_rho = rho_of(list(pasts.values()), "scrapped", "castings") if with_bad >= 10 else 1.0
    mould_rho = 1.0 if mould_rho is None else mould_rho
    monthly = [month_clusters(past) for past in pasts.values() if past["month"].nunique() > 1]
    month_rho = min(rho_of(monthly, "bad", "moulds") or 0.0, 0.2)
    told = [
        (past["month"].nunique() - 1, own_sigma(past, mould_rho))
        for past in pasts.values()
        if past["month"].nunique() > 1
    ]
    known = [(weight, value) for weight, value in told if value is not None]
    weight = sum(number for number, _ in known)
    sigma = sum(number * value for number, value in known) / weight if weight >= 8 else 1.0
    return Shop(moulds, pasts, since, mould_rho, month_rho, max(sigma, 1.0))


def month_clusters(past: pd.DataFrame) -> pd.DataFrame:
    return past.groupby("month").agg(moulds=("mould", "size"), bad=("scrapped", lambda s: int((s > 0).sum())))


def own_sigma(past: pd.DataFrame, rho: float) -> float | None:
    """Mean moving range over 1.128 of the months' standard scores."""
    months = past.groupby("month")
    worth = months["castings"].sum() / months["castings"].apply(lambda s: effect(s, rho))
    rate = (months["scrapped"].sum() / months["castings"].sum()).clip(upper=1)
    bad = rate * worth
    if len(worth) < 2 or not 0 < bad.sum() < worth.sum():
        return None
    p = bad.sum() / worth.sum()
    z = (rate - p) / np.sqrt(p * (1 - p) / worth)
    return float(z.diff().abs().mean() / 1.128)


@dataclass
class Verdict:
    chart: str | None
    limits: tuple[float, float] | None
    signal: str
    odds: float | None
    creeping: str | None
    variance: float | None
    usual: float | None


def judged(month: pd.DataFrame, pattern: str, shop: Shop) -> Verdict:
    """`month`: the pattern's moulds of the month."""
    past = shop.pasts[pattern]
    if not month["castings"].sum() or not past["castings"].sum():
        return Verdict(None, None, "too few", None, None, None, None)
    rho, sigma = shop.rho(pattern), shop.sigma(pattern)
    scrapped, cast = past["scrapped"].sum(), past["castings"].sum()
    held = (min(scrapped, cast) + 0.5) / (cast + 1)
    worth = month["castings"].sum() / effect(month["castings"], rho)
    worth_past = cast / effect(past["castings"], rho)
    variance = held * (1 - held) * sigma**2 * (1 / worth + 1 / worth_past)
    usual = min(scrapped / cast, 1.0)
    if usual < 1 and worth / sigma**2 * usual > 9 * (1 - usual):
        return by_rate(month, shop, pattern, usual, variance, rho, sigma)
    return by_gaps(month, shop, pattern, usual, variance)


def by_rate(
    month: pd.DataFrame, shop: Shop, pattern: str, usual: float, variance: float, rho: float, sigma: float
) -> Verdict:
    firm = usual * (1 - usual) / variance - 1
    beta = stats.beta(usual * firm, (1 - usual) * firm)
    low, high = beta.ppf(LEVEL), beta.ppf(1 - LEVEL)
    seen = min(month["scrapped"].sum() / month["castings"].sum(), 1.0)
    signal = "above" if seen > high else "below" if seen < low else "none"
    odds = min(1.0, 2 * min(beta.cdf(seen), beta.sf(seen)))
    return Verdict("p", (low, high), signal, odds, drift(month, shop, pattern, usual, rho, sigma), variance, usual)


def drift(month: pd.DataFrame, shop: Shop, pattern: str, usual: float, rho: float, sigma: float) -> str | None:
    scores = []
    for _, rows in pd.concat([shop.since[pattern], month]).groupby("month"):
        worth = rows["castings"].sum() / effect(rows["castings"], rho)
        rate = rows["scrapped"].sum() / rows["castings"].sum()
        scores.append((rate - usual) / (sigma * np.sqrt(usual * (1 - usual) / worth)))
    last = pd.Series([0.0, *scores]).ewm(alpha=0.2, adjust=False).mean().iloc[-1]
    limit = 2.962 * np.sqrt(0.2 / 1.8)
    return "up" if last > limit else "down" if last < -limit else None


def by_gaps(month: pd.DataFrame, shop: Shop, pattern: str, usual: float, variance: float) -> Verdict:
    past = shop.pasts[pattern]
    rate = ((past["scrapped"] > 0).sum() + 0.5) / (len(past) + 1)
    firm = 1 / (1 / (len(past) + 1) + shop.month_rho)
    a, b = rate * firm, (1 - rate) * firm
    moulds, bad = len(month), int((month["scrapped"] > 0).sum())
    of_month = stats.betabinom(moulds, a, b)
    more = of_month.sf(bad - 1)
    run = clean_run(month, past, shop.since[pattern])
    fewer = of_month.cdf(bad) if not run else stats.betabinom(run, a, b).pmf(0)
    signal = "above" if more <= LEVEL else "below" if fewer <= LEVEL else "none"
    k = np.arange(moulds + 1)
    high, low = k[of_month.sf(k - 1) <= LEVEL], k[of_month.cdf(k) <= LEVEL]
    shows = (len(high) and high[0] <= min(1.0, 3 * rate) * moulds) or (len(low) and low[-1] >= rate / 3 * moulds)
    if signal == "none" and not shows:
        signal = "too few"
    limits = (np.floor(np.log(1 - LEVEL) / np.log(1 - rate)), np.ceil(np.log(LEVEL) / np.log(1 - rate)))
    return Verdict("g", limits, signal, min(1.0, 2 * min(more, fewer)), None, variance, usual)


def clean_run(month: pd.DataFrame, past: pd.DataFrame, since: pd.DataFrame) -> int:
    """Moulds without scrap up to the month's end, over whole months."""
    run = 0
    for _, rows in reversed(list(pd.concat([past, since, month]).groupby("month"))):
        if (rows["scrapped"] > 0).any():
            break
        run += len(rows)
    return run


def firm_of(verdicts: Mapping[str, Verdict]) -> dict[str, bool]:
    told = {name: verdict.odds for name, verdict in verdicts.items() if verdict.odds is not None}
    kept = multipletests(list(told.values()), alpha=0.05, method="fdr_bh")[0] if told else []
    stands = dict(zip(told, kept, strict=True))
    return {
        name: bool(stands.get(name, False)) and verdict.signal in ("above", "below")
        for name, verdict in verdicts.items()
    }


def odds_of_fullest(counts: list[int]) -> float:
    """P(the fullest of k equal boxes holds as many, or more), from the product of truncated exponential series."""
    boxes, balls, most = len(counts), sum(counts), max(counts)
    series = np.polynomial.Polynomial([1 / factorial(i) for i in range(most)])
    inside = (series**boxes).coef
    ways = np.exp(special.gammaln(balls + 1) - balls * np.log(boxes))
    below = inside[balls] * ways if balls < len(inside) else 0.0
    return 1 - float(below)


def years(frames: Frames, month: date) -> dict[str, Any] | None:
    moulds, now = by_mould(frames), period(month)
    moulds = moulds.assign(bad=moulds["scrapped"] > 0)
    tables, this, last, patterns = [], [0, 0], [0, 0], 0
    for _, group in moulds.groupby("pattern"):
        new = group[(group["month"] <= now) & (group["month"] > now - 12)]
        old = group[(group["month"] <= now - 12) & (group["month"] > now - 24)]
        if len(new) and len(old):
            patterns += 1
            tables.append([[new["bad"].sum(), (~new["bad"]).sum()], [old["bad"].sum(), (~old["bad"]).sum()]])
            this = [this[0] + len(new), this[1] + int(new["bad"].sum())]
            last = [last[0] + len(old), last[1] + int(old["bad"].sum())]
    if not patterns:
        return None
    table = StratifiedTable([np.array(item, dtype=float) for item in tables])
    return {
        "patterns": patterns,
        "moulds": [this[0], last[0]],
        "moulds_with_scrap": [this[1], last[1]],
        "odds_ratio": table.oddsratio_pooled,
        "interval": list(table.oddsratio_pooled_confint()),
        "chance": table.test_null_odds(correction=True).pvalue,
    }
