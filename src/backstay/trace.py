"""Formulas that explain themselves.

A design equation is written once, as a small pure function whose body *is* the equation::

    @formula("K_a", Citation("Rankine 1857", "", "formula"))
    def rankine_active(phi: Angle) -> Ratio:
        '''Active earth pressure coefficient, vertical wall, level ground.

        phi: effective friction angle
        '''
        return tan(pi / 4 - phi / 2) ** 2

Calling it computes. While a trace is open, the call is recorded as well, and a presenter can
turn the record into: symbol = equation = numbers put in = result, source. The equation shown is
parsed from the definition that ran (`backstay.expression`), so the two cannot drift apart.

Batch work opens no trace and pays one comparison. Searches and matrix work are not formulas:
they report their outcome with `state`, naming method and residual.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import cached_property, update_wrapper
from inspect import cleandoc, signature
from typing import Any, Generic, ParamSpec, get_args, get_type_hints

from backstay.cite import Citation
from backstay.quantity import QUANTITIES, Quantity

P = ParamSpec("P")


class FormulaError(Exception):
    """A definition that cannot be shown as an equation."""


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument of a formula: symbol, quantity and meaning."""

    name: str
    quantity: Quantity
    meaning: str


class Formula(Generic[P]):
    """One design equation: computes when called, and knows how it is written and where from."""

    def __init__(
        self, function: Callable[P, float], symbol: str, cite: Citation, *, empirical: bool
    ) -> None:
        self.function = function
        self.symbol = symbol
        self.cite = cite
        self.empirical = empirical
        self.id = f"{function.__module__.removeprefix('backstay.')}.{function.__name__}"
        update_wrapper(self, function)
        FORMULAS[self.id] = self

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> float:
        value = self.function(*args, **kwargs)
        traces = _open_traces.get()
        if traces:
            step = Computed(self, args, tuple(kwargs.items()), value)
            for trace in traces:
                trace.add(step)
        return value

    def __repr__(self) -> str:
        return f"<formula {self.id}>"

    @cached_property
    def title(self) -> str:
        """Return the first sentence of the docstring."""
        text = cleandoc(self.function.__doc__ or "")
        return " ".join(text.split("\n\n")[0].split()).rstrip(".")

    @cached_property
    def arguments(self) -> tuple[Argument, ...]:
        """Return the arguments in order; raise FormulaError if one is not annotated or explained."""
        hints = get_type_hints(self.function, include_extras=True)
        meanings = _meanings(self.function.__doc__ or "")
        found = []
        for name in signature(self.function).parameters:
            if name not in meanings:
                raise FormulaError(f"{self.id}: the docstring has no line '{name}: ...'")
            found.append(
                Argument(name, quantity_of(hints.get(name), f"{self.id}, {name}"), meanings[name])
            )
        return tuple(found)

    @cached_property
    def quantity(self) -> Quantity:
        """Return the quantity of the result."""
        hints = get_type_hints(self.function, include_extras=True)
        return quantity_of(hints.get("return"), f"{self.id}, return")

    def bind(self, args: tuple[Any, ...], kwargs: tuple[tuple[str, Any], ...]) -> dict[str, float]:
        """Return the arguments of a call by name."""
        bound = signature(self.function).bind(*args, **dict(kwargs))
        bound.apply_defaults()
        return dict(bound.arguments)


FORMULAS: dict[str, Formula[...]] = {}
"""Every formula that has been imported, by identifier."""


def formula(
    symbol: str, cite: Citation, *, empirical: bool = False
) -> Callable[[Callable[P, float]], Formula[P]]:
    """Make a function a formula.

    symbol: of the result, as a Python name (``K_a``, ``sigma_v_prime``);
    empirical: the equation holds in kN, m, kPa only (it has constants with units), so numbers
    are always put in in those units.
    """

    def decorate(function: Callable[P, float]) -> Formula[P]:
        return Formula(function, symbol, cite, empirical=empirical)

    return decorate


def quantity_of(hint: object, where: str) -> Quantity:
    """Return the Quantity in an annotation such as `Length`; raise FormulaError if none."""
    for item in get_args(hint):
        if isinstance(item, Quantity):
            return item
    raise FormulaError(f"{where}: annotate with a quantity of backstay.quantity")


def _meanings(doc: str) -> dict[str, str]:
    """Return {name: meaning} from the ``name: meaning`` lines of a docstring.

    A line may explain several (``phi, delta: angles of friction``), several explanations may
    share a line divided by ``;``, and a meaning may run on over the following lines.
    """
    text = cleandoc(doc)
    body = text.split("\n\n", 1)[1] if "\n\n" in text else ""
    found: dict[str, str] = {}
    last: list[str] = []
    for line in body.splitlines():
        for piece in line.split(";"):
            names, colon, meaning = piece.strip().partition(": ")
            heads = [n.strip() for n in names.split(",")]
            if colon and all(h.isidentifier() for h in heads):
                last = heads
                for head in heads:
                    found[head] = meaning.strip().rstrip(".")
            elif piece.strip() and last:
                for head in last:
                    found[head] = f"{found[head]} {piece.strip()}".rstrip(".")
    return found


@dataclass(frozen=True, slots=True)
class Computed:
    """One call of a formula."""

    formula: Formula[...]
    args: tuple[Any, ...]
    kwargs: tuple[tuple[str, Any], ...]
    value: float

    @property
    def values(self) -> dict[str, float]:
        """Return the arguments by name."""
        return self.formula.bind(self.args, self.kwargs)


@dataclass(frozen=True, slots=True)
class Stated:
    """A number that no formula made: given by the engineer, read from a table, or found by a search.

    method: how it was found (and the residual, where it was iterated).
    """

    symbol: str
    title: str
    value: float
    quantity: Quantity
    method: str = ""
    cite: Citation | None = None


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence in a derivation, or the heading of a part of it."""

    text: str
    heading: bool = False


Step = Computed | Stated | Remark


@dataclass(slots=True)
class Trace:
    """The steps recorded while it is open, each once, in order."""

    _steps: list[Step] = field(default_factory=list)
    _seen: set[Step] = field(default_factory=set)

    def add(self, step: Step) -> None:
        """Append a step, unless the very same one is there already."""
        if step not in self._seen:
            self._seen.add(step)
            self._steps.append(step)

    @property
    def steps(self) -> tuple[Step, ...]:
        """Return the steps so far."""
        return tuple(self._steps)


_open_traces: ContextVar[tuple[Trace, ...]] = ContextVar("open_traces", default=())


@contextmanager
def trace() -> Iterator[Trace]:
    """Open a trace: formula calls inside the block are recorded (in outer traces as well)."""
    fresh = Trace()
    token = _open_traces.set((*_open_traces.get(), fresh))
    try:
        yield fresh
    finally:
        _open_traces.reset(token)


@contextmanager
def untraced() -> Iterator[None]:
    """Suspend recording, for the loop of a search; state or recompute its outcome afterwards."""
    token = _open_traces.set(())
    try:
        yield
    finally:
        _open_traces.reset(token)


def state(
    symbol: str,
    title: str,
    value: float,
    quantity_name: str,
    *,
    method: str = "",
    cite: Citation | None = None,
) -> float:
    """Record a number that no formula made, and return it."""
    record(Stated(symbol, title, value, QUANTITIES[quantity_name], method, cite))
    return value


def remark(text: str) -> None:
    """Record a sentence."""
    record(Remark(text))


def heading(text: str) -> None:
    """Record the heading of the part of a derivation that follows."""
    record(Remark(text, heading=True))


def record(step: Step) -> None:
    """Add a step to every open trace."""
    for open_trace in _open_traces.get():
        open_trace.add(step)
