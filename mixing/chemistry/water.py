"""Water: density, hardness, dissolved solids, and what it leaves behind (pure)."""

from __future__ import annotations

from mixing.chemistry.bounds import within


def water_density_g_per_ml(*, temp_c: float) -> float:
    """Density of air-free pure water at 1 atm.

        rho = a5 * (1 - (T + a1)^2 * (T + a2) / (a3 * (T + a4)))

    temp_c   temperature, °C, 0 to 50; the formula was fitted from 0 to 40
    Not for: sea or hard water; ice.
    Source: M. Tanaka et al., Metrologia 38 (2001) 301, the recommended table; constants
        a1 -3.983035, a2 301.797, a3 522528.9, a4 69.34881, a5 999.974950 (from memory,
        checked against the CRC value 0.9982 at 20 °C).

    >>> round(water_density_g_per_ml(temp_c=25), 5)
    0.99705
    """
    within(temp_c, what="The temperature of the water", low=0, high=50, unit="°C")
    lost = (temp_c - 3.983035) ** 2 * (temp_c + 301.797)
    return 0.999974950 * (1 - lost / (522528.9 * (temp_c + 69.34881)))
