"""Charts with a memory, for a slow change that no single month shows: EWMA and CUSUM, and how often they cry wolf.

Formulas: NIST/SEMATECH e-Handbook 6.3.2.3 and 6.3.2.4. Run lengths by the integral equations of E. S. Page (1954) and
S. V. Crowder (1987), solved on Gauss-Legendre points.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
# An unchanged process signals once in 500 points: Lucas and Saccucci, Technometrics 32 (1990) 1-12.
WEIGHT, WIDTH = 0.2, 2.962
POINTS = 60


def ewma(points: Sequence[float], weight: float = WEIGHT, start: float = 0.0) -> list[float]:
    """Each value is `weight` of the new point and the rest of the value before; `start` stands before the first."""
    values: list[float] = []
    last = start
    for point in points:
        last = weight * point + (1 - weight) * last
        values.append(last)
    return values


def ewma_limits(centre: float, sigma: float, weight: float = WEIGHT, width: float = WIDTH) -> tuple[float, float]:
    """Lower and upper, once the chart has run for a while."""
    half = width * sigma * math.sqrt(weight / (2 - weight))
    return centre - half, centre + half


def cusum(points: Sequence[float], centre: float, slack: float) -> tuple[list[float], list[float]]:
    """Sums of what lies more than `slack` below, and above, the centre; each starts again at nothing."""
    low, high = [0.0], [0.0]
    for point in points:
        low.append(max(0.0, low[-1] + centre - slack - point))
        high.append(max(0.0, high[-1] + point - centre - slack))
    return low[1:], high[1:]


def creeping(scores: Sequence[float]) -> str:
    """ "up", "down" or "" from the last point of an EWMA of standard scores: about one false word in 500 months."""
    if not scores:
        return ""
    low, high = ewma_limits(0.0, 1.0)
    last = ewma(scores)[-1]
    return "up" if last > high else "down" if last < low else ""


def ewma_run_length(weight: float, width: float, shift: float = 0.0) -> float:
    """Points to the first signal on average, started at the centre, the process `shift` σ off it; both sides."""
    half = width * math.sqrt(weight / (2 - weight))
    nodes, weights = points_between(-half, half)
    kernel = normal_density((nodes[None, :] - (1 - weight) * nodes[:, None]) / weight - shift) / weight
    lengths = np.linalg.solve(np.eye(len(nodes)) - kernel * weights[None, :], np.ones(len(nodes)))
    at_start = normal_density(nodes / weight - shift) / weight
    return float(1 + np.sum(weights * at_start * lengths))


def cusum_run_length(slack: float, height: float, shift: float = 0.0) -> float:
    """Points to the first signal on average of a two-sided CUSUM of standard scores, started at nothing."""
    up, down = one_sided_run_length(slack, height, shift), one_sided_run_length(slack, height, -shift)
    return 1 / (1 / up + 1 / down)


def one_sided_run_length(slack: float, height: float, shift: float) -> float:
    """The sum can rest at exactly nothing, so nothing is a state of its own beside the points in between."""
    nodes, weights = points_between(0.0, height)
    states = np.concatenate([[0.0], nodes])
    moves = normal_density(nodes[None, :] - states[:, None] + slack - shift) * weights[None, :]
    rests = np.array([0.5 * math.erfc((state - slack + shift) / math.sqrt(2)) for state in states])
    matrix = np.eye(len(states)) - np.column_stack([rests, moves])
    return float(np.linalg.solve(matrix, np.ones(len(states)))[0])


def points_between(low: float, high: float) -> tuple[Floats, Floats]:
    """Gauss-Legendre points and weights."""
    nodes, weights = np.polynomial.legendre.leggauss(POINTS)
    half = (high - low) / 2
    return np.asarray(low + half * (nodes + 1)), np.asarray(half * weights)


def normal_density(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z * z) / math.sqrt(2 * math.pi), dtype=np.float64)
