"""Time the judgement of a load test, live and whole, against the bare sums in the same run.

Usage: python -m benchmarks.stressing [--json]

The bare sums are what a sheet of paper asks for: load by the calibration line, mean of the dials,
movement from the first reading, creep between two minutes, apparent free length. The rest of the
judgement is faults, confidence, trend, clauses and what comes next. The machine may be shared: what
is compared is timed in turns in time of the process, and the least of many turns counts.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from tests.unit.stressing.invented import anchor
from tests.unit.stressing.synthetic import Model, record_of

from backstay.stressing.judge import judge
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.schedules_us import extended_creep_test, performance_test, proof_test

MODEL = Model(creep=0.0005, scatter=1e-5, settle=0.001)


def least(*works: Callable[[], object], turns: int = 20) -> list[float]:
    """Return the least time of the process of each call (s), taken in turns after one to warm up."""
    for work in works:
        work()
    best = [float("inf")] * len(works)
    for _ in range(turns):
        for i, work in enumerate(works):
            start = time.process_time()
            work()
            best[i] = min(best[i], time.process_time() - start)
    return best


def bare(record: TestRecord) -> tuple[float, float]:
    """Return creep from 1 to 10 minutes and apparent free length by the sums alone."""
    P_0, area = record.jack.calibration.line
    loads = [P_0 + area * (r.gauge or 0.0) for r in record.readings]
    heads = [sum(r.dials) / len(r.dials) + r.reference for r in record.readings]
    moved = [h - heads[0] for h in heads]
    top = max(loads)
    hold = {
        r.minute: m for r, m, P in zip(record.readings, moved, loads, strict=True) if 0.99 * top < P
    }
    a = record.anchor
    elastic = max(moved) - moved[-1]
    return hold.get(10.0, 0.0) - hold.get(1.0, 0.0), a.area * a.modulus * elastic / (
        top - loads[-1]
    )


def lengthened(readings: int) -> tuple[TestRecord, TestRules]:
    """Return a test by method 1 whose last hold is read every minute, up to a number of readings."""
    procedure = procedure_of("investigation", anchor(), 1.33, EN_RULES)
    short = len(record_of(MODEL, procedure).readings)
    top = procedure.test_load
    i = max(k for k, s in enumerate(procedure.steps) if s.up and s.load > 0.999 * top)
    last = procedure.steps[i]
    more = tuple(last.hold + 1.0 + k for k in range(readings - short))
    steps = list(procedure.steps)
    steps[i] = replace(last, readings=(*last.readings, *more))
    return record_of(MODEL, replace(procedure, steps=tuple(steps))), EN_RULES


def table() -> list[dict[str, Any]]:
    """Return one row for each test: readings, ms of judgement and of the bare sums, their ratio."""
    us: dict[str, Procedure] = {
        "proof": proof_test(450.0, 1.33, US_RULES),
        "performance": performance_test(450.0, 1.33, US_RULES),
        "extended creep": extended_creep_test(450.0, 1.33, US_RULES),
    }
    tests = {name: (record_of(MODEL, procedure), US_RULES) for name, procedure in us.items()}
    for number in (200, 1000):
        tests[f"investigation, {number} readings"] = lengthened(number)
    rows = []
    for name, (record, rules) in tests.items():
        whole, live, plain = least(
            lambda r=record, x=rules: judge(r, x),  # type: ignore[misc]
            lambda r=record, x=rules: judge(replace(r, closed=False, readings=r.readings[:-2]), x),  # type: ignore[misc]
            lambda r=record: bare(r),  # type: ignore[misc]
        )
        rows.append(
            {
                "test": name, "readings": len(record.readings), "whole_ms": 1e3 * whole,
                "live_ms": 1e3 * live, "bare_ms": 1e3 * plain, "ratio": whole / plain,
            }
        )  # fmt: skip
    return rows


def main(arguments: list[str] | None = None) -> int:
    """Print the table."""
    arguments = sys.argv[1:] if arguments is None else arguments
    rows = table()
    if "--json" in arguments:
        print(json.dumps(rows, indent=2))
        return 0
    print(f"{'test':32}{'readings':>9}{'whole ms':>10}{'live ms':>10}{'bare ms':>10}{'ratio':>8}")
    for r in rows:
        print(
            f"{r['test']:32}{r['readings']:9d}{r['whole_ms']:10.2f}{r['live_ms']:10.2f}"
            f"{r['bare_ms']:10.3f}{r['ratio']:8.0f}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
