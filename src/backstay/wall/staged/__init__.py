"""The staged analysis: the wall as a beam between elastic-plastic ground, carried through the dig.

Design envelopes give loads that no stage exceeds in ordinary conditions; the staged analysis follows
what the wall does: below at-rest while it leans as a cantilever, above at-rest near a stressed anchor,
redistributed by each deeper lift. The kernel is compiled (numba) and loaded only when an analysis runs.
"""
