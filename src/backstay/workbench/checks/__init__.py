"""The panel of checks: all of them, worst first, each with its derivation and what would cure it.

- `listing`: the checks as rows, filtered and grouped.
- `derivation`: the steps that lead to a check, written as on the printed calculation.
- `sheet`: one check opened: verdict, comparison, clause, derivation, tables of its analysis.
- `knobs`, `cures`: the single value of the project that would cure a failing check, by designing again.
- `panel`, `cure_offer`: what a person sees and touches.
"""
