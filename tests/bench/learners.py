"""Two learners as people use them on such records: one row a casting, readings as columns, gaps filled in.

A logistic regression and an ensemble of trees from scikit-learn, which only this bench needs. Both are told what the
rule base knows, so that they are not beaten by ignorance: which readings belong to a cause of the defect, and which
side is the bad one. Causes that no reading shows share a small rest by the handbook's weights, as ours sets some aside.

The castings of a mould have the same readings, so a mould is two rows, good and bad, weighted by its castings.
"""

import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from sklearn.ensemble import ExtraTreesClassifier
from sklearn.exceptions import ConvergenceWarning
from sklearn.linear_model import LogisticRegression

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.candidates import Candidate
from tests.bench.rankings import Case

# What is left for causes without a reading, and what is spread over all, as our own ranking does.
REST, FLOOR = 0.15, 0.02
# Of those tried on shops of other seeds, these did best for the learners.
INVERSE_PENALTY = 1.0
TREES, LEAST_LEAF = 100, 8
# How far the strongest cause is favoured over the next when importances are turned into shares.
SHARPNESS = 2.0


@dataclass(frozen=True)
class Table:
    """(rows, readings) standardised readings by name, and for each row bad or not, and for how many castings it stands.

    `towards` (readings,): how much higher the reading stands on bad castings than on good ones, standardised.
    """

    names: tuple[str, ...]
    readings: Floats
    bad: Floats
    castings: Floats
    towards: Floats


Importances = Callable[[Table], Floats]


def table_of(case: Case) -> Table | None:
    """None when no reading varies or the castings are all good or all bad."""
    wanted = {item.cause.reading.quantity for item in case.candidates if item.cause.reading and item.limit}
    known = {name: case.evidence.readings[name] for name in sorted(wanted) if name in case.evidence.readings}
    filled = {name: filled_in(values) for name, values in known.items() if not np.isnan(values).all()}
    varying = {name: values for name, values in filled.items() if values.std() > 0}
    bad, castings = case.bad, case.evidence.castings
    if not varying or not 0 < bad.sum() < castings.sum():
        return None
    moulds = np.column_stack([(values - values.mean()) / values.std() for values in varying.values()])
    weights = np.concatenate([bad, castings - bad])
    used = weights > 0
    middle_bad = np.average(moulds, axis=0, weights=bad)
    middle_good = np.average(moulds, axis=0, weights=castings - bad)
    return Table(
        names=tuple(varying),
        readings=np.vstack([moulds, moulds])[used],
        bad=np.repeat([1.0, 0.0], len(bad))[used],
        castings=weights[used],
        towards=middle_bad - middle_good,
    )


def filled_in(values: Floats) -> Floats:
    return np.where(np.isnan(values), np.nanmedian(values), values)


def by_logistic_regression(case: Case) -> dict[str, float]:
    """A cause is worth its reading's coefficient, where that points to the cause's bad side."""
    return learned(case, coefficients)


def by_trees(case: Case) -> dict[str, float]:
    """A cause is worth its reading's importance, where bad castings lie to the cause's bad side."""
    return learned(case, importances_of_trees)


def coefficients(table: Table) -> Floats:
    model = LogisticRegression(C=INVERSE_PENALTY, max_iter=500)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)
        model.fit(table.readings, table.bad, sample_weight=table.castings)
    return np.asarray(model.coef_[0], dtype=np.float64)


def importances_of_trees(table: Table) -> Floats:
    model = ExtraTreesClassifier(n_estimators=TREES, min_samples_leaf=LEAST_LEAF, random_state=0)
    model.fit(table.readings, table.bad, sample_weight=table.castings)
    return np.asarray(model.feature_importances_ * np.sign(table.towards), dtype=np.float64)


def learned(case: Case, importances: Importances) -> dict[str, float]:
    """Cause → share."""
    table = table_of(case)
    signed = dict(zip(table.names, importances(table).tolist(), strict=True)) if table else {}
    return shares_of(case, {item.id: worth(item, signed) for item in case.candidates})


def worth(candidate: Candidate, signed: Mapping[str, float]) -> float:
    """How strongly the cause's reading tells, nothing where it tells to the other side or there is none."""
    reading, limit = candidate.cause.reading, candidate.limit
    if reading is None or limit is None:
        return 0.0
    sign = 1.0 if limit.side == "above" else -1.0
    return max(sign * signed.get(reading.quantity, 0.0), 0.0)


def shares_of(case: Case, worths: Mapping[str, float]) -> dict[str, float]:
    """Shares by what the readings tell; the rest goes to the causes that tell nothing, by the handbook's weights."""
    sharp = {cause: value**SHARPNESS for cause, value in worths.items()}
    total = sum(sharp.values())
    silent = {item.id: item.weight for item in case.candidates if not worths[item.id]}
    weight, size = sum(silent.values()), len(case.candidates)
    rest = 1.0 if not total else REST if silent else 0.0
    shares = {}
    for item in case.candidates:
        told = (1 - rest) * sharp[item.id] / total if total else 0.0
        left = rest * silent.get(item.id, 0.0) / weight if silent else 0.0
        shares[item.id] = (1 - FLOOR) * (told + left) + FLOOR / size
    return shares
