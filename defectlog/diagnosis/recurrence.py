"""What this shop found before: verdicts on causes turned into a prior beside the handbooks' weights.

The handbooks count as a few past cases. A cause confirmed for this pattern and defect counts one case in full,
one confirmed for the defect on another pattern a part of it, and both halve with age. A cause ruled out is held
down, and never to nothing: people have been wrong before.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from defectlog.diagnosis.arrays import Floats
from defectlog.diagnosis.candidates import Candidate
from defectlog.records.kinds import Verdict

# Judgements, each tried on simulated shops: how many cases the handbooks are worth, what a case on another pattern
# counts, how soon a case fades to half, and what one fresh "ruled out" leaves of a cause.
HANDBOOK_CASES = 3.0
# The handbooks' weights count as their square root: handbooks copy one another, and what they name oftenest need not be
# what goes wrong oftenest. On simulated shops with a month of records (tests/bench/bench_why.py, 400 each) whose causes
# were as frequent as they are named it found as many as the weights in full; where all were as frequent, four more of a
# hundred.
HANDBOOK_TRUST = 0.5
OTHER_PATTERN_COUNTS = 0.3
HALVES_IN_DAYS = 365.0
RULED_OUT_LEAVES = 0.15


@dataclass(frozen=True, slots=True)
class Prior:
    """(candidates,) shares before the moulds are looked at: by the handbooks alone, and with the shop's history."""

    handbook: Floats
    with_history: Floats


def prior_of(
    candidates: Sequence[Candidate],
    pattern: str,
    defect: str,
    verdicts: Sequence[Verdict],
    today: date,
    defect_of: Mapping[str, str] | None = None,
) -> Prior:
    """`verdicts` of the whole shop; `defect_of` maps a defect as written to its id. Shares sum to one."""
    weights = np.array([candidate.weight for candidate in candidates], dtype=np.float64) ** HANDBOOK_TRUST
    handbook = weights / weights.sum()
    cases = HANDBOOK_CASES * handbook
    left = np.ones(len(candidates))
    index = {candidate.id: position for position, candidate in enumerate(candidates)}
    names = defect_of or {}
    for verdict in verdicts:
        position = index.get(verdict.cause)
        if position is None or names.get(verdict.defect, verdict.defect) != defect or verdict.decided_on > today:
            continue
        counts = fading(verdict.decided_on, today) * (1.0 if verdict.pattern == pattern else OTHER_PATTERN_COUNTS)
        if verdict.verdict == "confirmed":
            cases[position] += counts
        else:
            left[position] *= RULED_OUT_LEAVES**counts
    with_history = cases * left
    return Prior(handbook, with_history / with_history.sum())


def fading(decided_on: date, today: date) -> float:
    """1 for a verdict of today, a half after HALVES_IN_DAYS."""
    return float(0.5 ** (max((today - decided_on).days, 0) / HALVES_IN_DAYS))
