"""The rules between fields: what a sound project must satisfy beyond each field by itself.

Strata that meet, water within the ground, rows between top and subgrade, piles that reach below
the cut, names that exist in the tables, and numbers of a size that occurs (the usual sign of a
mistaken unit). Each breach is refused with an explanation at its place in the file. A rule here
is about what the file says; whether the wall is strong enough is for the checks.
"""

from backstay.model.rules.parts import breaches, breaches_of_parts
from backstay.model.rules.rule import Breach

__all__ = ["Breach", "breaches", "breaches_of_parts"]
