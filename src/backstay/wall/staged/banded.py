"""Cholesky factorisation and solution of a symmetric band of half-bandwidth 3, compiled."""

from __future__ import annotations

from math import sqrt

from numba import njit

BAND = 4
"""Stored diagonals of the lower band."""


@njit(cache=True)
def solve_banded(A, b):
    """Factorise A (n x 4: A[i, j] = K[i, i - j]) by Cholesky in place and solve for b in place.

    Returns -1, or the row at which A is not positive definite (b is then spoilt).
    """
    n = A.shape[0]
    for i in range(n):
        low = i - 3 if i > 3 else 0
        for j in range(low, i):
            s = A[i, i - j]
            start = j - 3 if j - 3 > low else low
            for k in range(start, j):
                s -= A[i, i - k] * A[j, j - k]
            A[i, i - j] = s * A[j, 0]
        pivot = A[i, 0]
        s = pivot
        for k in range(low, i):
            s -= A[i, i - k] * A[i, i - k]
        if not s > 1e-13 * pivot:
            return i
        A[i, 0] = 1.0 / sqrt(s)  # the inverse, so that no division stands in the inner loop
        s = b[i]
        for k in range(low, i):
            s -= A[i, i - k] * b[k]
        b[i] = s * A[i, 0]
    for i in range(n - 1, -1, -1):
        s = b[i]
        high = i + 4 if i + 4 < n else n
        for k in range(i + 1, high):
            s -= A[k, k - i] * b[k]
        b[i] = s * A[i, 0]
    return -1
