"""Plain-text notation: equations for the terminal, JSON and everything without typesetting."""

from __future__ import annotations

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "eta": "η",
    "theta": "θ", "kappa": "κ", "lamda": "λ", "lambda": "λ", "mu": "μ", "nu": "ν", "xi": "ξ",
    "pi": "π", "rho": "ρ", "sigma": "σ", "tau": "τ", "phi": "φ", "chi": "χ", "psi": "ψ",
    "omega": "ω", "Delta": "Δ", "Gamma": "Γ", "Sigma": "Σ", "Omega": "Ω", "Phi": "Φ",
}  # fmt: skip
_INVERSE = {"asin": "arcsin", "acos": "arccos", "atan": "arctan", "log": "ln", "log10": "log₁₀"}
_SUPERSCRIPT = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


def split_symbol(name: str) -> tuple[str, list[str], bool]:
    """Split a Python name into head, subscripts, and whether it carries a prime.

    ``sigma_v_prime`` -> ("sigma", ["v"], True).
    """
    head, *subscripts = name.strip("_").split("_")
    primed = "prime" in subscripts
    return head, [s for s in subscripts if s != "prime"], primed


class PlainText:
    """Equations in one line of Unicode text."""

    quotient_groups = False

    def symbol(self, name: str) -> str:
        head, subscripts, primed = split_symbol(name)
        text = GREEK.get(head, head) + ("′" if primed else "")
        if subscripts:
            text += "_" + ",".join(GREEK.get(s, s) for s in subscripts)
        return text

    def number(self, text: str, unit: str) -> str:
        return text + (unit if unit in ("°", "%", "") else f" {unit}")

    def sum(self, left: str, operator: str, right: str) -> str:
        return f"{left} {'−' if operator == '-' else operator} {right}"

    def product(self, left: str, right: str) -> str:
        return f"{left} · {right}"

    def quotient(self, top: str, bottom: str) -> str:
        return f"{top} / {bottom}"

    def power(self, base: str, exponent: str) -> str:
        if exponent.isdigit():
            return base + exponent.translate(_SUPERSCRIPT)
        return f"{base}^({exponent})"

    def negative(self, value: str) -> str:
        return f"−{value}"

    def root(self, value: str) -> str:
        return f"√({value})"

    def function(self, name: str, arguments: list[str]) -> str:
        if name == "abs":
            return f"|{arguments[0]}|"
        return f"{_INVERSE.get(name, name)}({', '.join(arguments)})"

    def grouped(self, value: str) -> str:
        return f"({value})"

    def relation(self, left: str, operator: str, right: str) -> str:
        return f"{left} {operator} {right}"

    def joined(self, parts: list[str], word: str) -> str:
        return f" {word} ".join(parts)
