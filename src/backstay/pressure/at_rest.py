"""Earth pressure at rest."""

from __future__ import annotations

from math import sin

from backstay.cite import Citation
from backstay.quantity import Angle, Ratio
from backstay.trace import formula


@formula("K_0", Citation("Jaky 1944", "", "formula"))
def at_rest_normal(phi: Angle) -> Ratio:
    """Coefficient at rest of normally consolidated ground.

    phi: effective angle of friction
    """
    return 1 - sin(phi)


@formula("K_0", Citation("Mayne and Kulhawy 1982", "", "published"))
def at_rest_overconsolidated(phi: Angle, OCR: Ratio) -> Ratio:
    """Coefficient at rest of overconsolidated ground.

    phi: effective angle of friction; OCR: overconsolidation ratio
    """
    K_nc: Ratio = 1 - sin(phi)
    R_oc: Ratio = OCR ** sin(phi)
    return K_nc * R_oc
