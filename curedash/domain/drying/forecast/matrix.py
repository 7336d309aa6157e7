"""Small symmetric matrices in plain Python: the forecast has five unknowns."""

from __future__ import annotations

import math
from collections.abc import Sequence

Matrix = list[list[float]]


def cholesky(a: Matrix) -> Matrix:
    """Lower triangle L of a positive definite matrix, a = L·Lᵀ; a lost pivot counts as tiny."""
    n = len(a)
    low = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            rest = a[i][j]
            for k in range(j):
                rest -= low[i][k] * low[j][k]
            if i == j:
                low[i][i] = math.sqrt(rest if rest > 1e-12 else 1e-12)
            else:
                low[i][j] = rest / low[j][j]
    return low


def solve(low: Matrix, right: Sequence[float]) -> list[float]:
    """x of L·Lᵀ·x = right."""
    n = len(low)
    x = list(right)
    for i in range(n):
        for k in range(i):
            x[i] -= low[i][k] * x[k]
        x[i] /= low[i][i]
    for i in range(n - 1, -1, -1):
        for k in range(i + 1, n):
            x[i] -= low[k][i] * x[k]
        x[i] /= low[i][i]
    return x


def inverse(a: Matrix) -> Matrix:
    """Inverse of a positive definite matrix."""
    low, n = cholesky(a), len(a)
    return [solve(low, [1.0 if i == j else 0.0 for i in range(n)]) for j in range(n)]


def add(a: Matrix, b: Matrix, factor: float = 1.0) -> Matrix:
    """a + factor·b."""
    return [[x + factor * y for x, y in zip(p, q, strict=True)] for p, q in zip(a, b, strict=True)]


def times(a: Matrix, v: Sequence[float]) -> list[float]:
    """a·v."""
    return [sum(x * y for x, y in zip(row, v, strict=True)) for row in a]


def product(a: Matrix, b: Matrix) -> Matrix:
    """a·b."""
    columns = list(zip(*b, strict=True))
    return [[sum(x * y for x, y in zip(row, c, strict=True)) for c in columns] for row in a]
