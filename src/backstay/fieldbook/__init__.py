"""Field books and tables of readings: what the crew writes down, read and brought into the records.

Everything is read and held against the register before anything is recorded: either all of it is
recorded, or nothing with every fault named by line and column. What was entered before is
recognised, so that a book that grows, or a table sent twice, is simply entered again.
"""

from __future__ import annotations
