"""Design bases: the factors and limits of one standard, each with its clause.

A basis is an argument of every check, never a global. `basis(id)` returns one by the name the
project file uses; an unknown name is refused with the choices.
"""

from backstay.basis.basis import Basis, Factor
from backstay.basis.gec4 import GEC4_BASIS

__all__ = ["Basis", "Factor", "basis"]

_BASES = {GEC4_BASIS.id: GEC4_BASIS}


def basis(name: str) -> Basis:
    """Return the basis called `name`; raise LookupError with the choices if unknown."""
    try:
        return _BASES[name]
    except KeyError:
        raise LookupError(f"no basis {name!r}; there are: {', '.join(_BASES)}") from None
