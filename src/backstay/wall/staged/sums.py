"""Sums and greatest magnitudes, several numbers at once, in any order. Compiled."""

from __future__ import annotations

from backstay.compiled import compiled_sum


@compiled_sum
def in_any_order(total, more):
    """Return a sum that may be taken in any order."""
    return total + more


@compiled_sum
def larger(a, b):
    """Return the larger of two numbers."""
    return b if b > a else a


@compiled_sum
def work(a, b):
    """Return the work of forces on movements."""
    found = 0.0
    for i in range(a.w.shape[0]):
        found += a.w[i] * b.w[i] + a.t[i] * b.t[i]
    return found


@compiled_sum
def total(x):
    """Return the sum of an array."""
    found = 0.0
    for i in range(x.shape[0]):
        found += x[i]
    return found


@compiled_sum
def magnitudes(x):
    """Return the sum of the magnitudes in an array."""
    found = 0.0
    for i in range(x.shape[0]):
        found += abs(x[i])
    return found


@compiled_sum
def largest(x):
    """Return the greatest magnitude in an array."""
    most = 0.0
    for i in range(x.shape[0]):
        most = larger(most, abs(x[i]))
    return most


@compiled_sum
def balance(below, pull, d, R):
    """Add to R what elements give to their lower nodes, and the supports.

    Returns the greatest force in R, and its work on d.
    """
    greatest, slope = 0.0, 0.0
    for i in range(R.w.shape[0]):
        force, moment = R.w[i] + below.force[i] + pull[i], R.t[i] + below.moment[i]
        R.w[i], R.t[i] = force, moment
        greatest = larger(greatest, abs(force))
        slope += d.w[i] * force + d.t[i] * moment
    return greatest, slope
