"""Factorisation and solution of a symmetric band of half-bandwidth 3, compiled."""

from __future__ import annotations

from backstay.wall.staged.compiled import compiled

BAND = 4
"""Stored diagonals of the lower band."""


@compiled
def solve_banded(A, b):
    """Factorise A (n x 4: A[i, j] = K[i, i - j]) in place and solve for b in place.

    Cholesky's factors without square roots, L D L'; the last three rows stay in registers. Returns
    -1, or the row at which A is not positive definite (b is then spoilt).
    """
    n = A.shape[0]
    d1 = d2 = d3 = 0.0  # inverse pivots of the rows one, two and three above
    y1 = y2 = y3 = 0.0
    l11 = l12 = l21 = 0.0  # L[i-1, i-2], L[i-1, i-3], L[i-2, i-3]
    for i in range(n):
        v3 = A[i, 3]
        v2 = A[i, 2] - v3 * l21
        v1 = A[i, 1] - v3 * l12 - v2 * l11
        m3, m2, m1 = v3 * d3, v2 * d2, v1 * d1
        pivot = A[i, 0]
        s = pivot - m3 * v3 - m2 * v2 - m1 * v1
        if not s > 1e-13 * pivot:
            return i
        y = b[i] - m3 * y3 - m2 * y2 - m1 * y1
        d3, d2, d1 = d2, d1, 1.0 / s
        y3, y2, y1 = y2, y1, y
        l21, l11, l12 = l11, m1, m2
        A[i, 0], A[i, 1], A[i, 2], A[i, 3] = d1, m1, m2, m3
        b[i] = y * d1
    x1 = x2 = x3 = 0.0
    k1 = k2 = k3 = 0.0  # L[i+1, i], L[i+2, i], L[i+3, i]
    next2 = next3 = after3 = 0.0  # of rows below, until their column comes up
    for i in range(n - 1, -1, -1):
        x = b[i] - k1 * x1 - k2 * x2 - k3 * x3
        b[i] = x
        x3, x2, x1 = x2, x1, x
        k1, k2, k3 = A[i, 1], next2, after3
        next2, after3, next3 = A[i, 2], next3, A[i, 3]
    return -1
