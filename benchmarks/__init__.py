"""Benchmarks: every figure is a ratio within one run, so that machines can be compared."""
