"""What holds for every test: no example of a property is timed; speed is measured in `benchmarks/`."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("untimed", settings(), deadline=None)
settings.load_profile("untimed")
