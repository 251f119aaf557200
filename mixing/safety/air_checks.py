"""What the formulas of the bay's air refuse, and the remedy that each names (pure)."""

from __future__ import annotations

from mixing.safety.bounds import LARGEST, above_zero, between, not_negative, number

MEASURE_FLOW = "Measure the exhaust and enter it in shop settings, bays."
MEASURE_SIZE = "Measure the bay and enter its size in shop settings, bays."
SEE_SHEET = "Take it from the data sheet."


def check_k(mixing_factor: float) -> None:
    """Refuse a mixing factor that cannot be: ValueError with the remedy."""
    number(mixing_factor, what="The mixing factor K", remedy="It is 1 or more.")
    if not 1 <= mixing_factor <= LARGEST:
        raise ValueError(
            f"The mixing factor K is 1 or more, not {mixing_factor:g}. If the number "
            "is an efficiency, choose that basis and it is turned into K."
        )


def check_fire_factors(safety_coefficient: float, temperature_factor: float) -> None:
    """Refuse a C or B that cannot be: ValueError with the remedy."""
    bursts = "Use 4 for steady work, 10 or more where vapour comes in bursts."
    number(safety_coefficient, what="The safety coefficient C", remedy=bursts)
    if not 1 <= safety_coefficient <= LARGEST:
        raise ValueError(
            f"The safety coefficient C is 1 or more, not {safety_coefficient:g}. "
            + bursts
        )
    between(
        temperature_factor,
        low=0.01,
        high=1,
        what="The temperature factor B",
        unit="",
        remedy="It is 1, or 0.7 above 121 °C.",
    )


def check_box(
    *,
    generation_m3_per_h: float,
    flow_m3_per_h: float,
    volume_m3: float,
    start_ppm: float,
    loss_per_h: float,
) -> None:
    """Refuse a box that cannot be: ValueError with the remedy."""
    not_negative(generation_m3_per_h, what="The release", remedy="Enter 0 for none.")
    above_zero(flow_m3_per_h, what="The exhaust flow", remedy=MEASURE_FLOW)
    above_zero(volume_m3, what="The volume of the bay", remedy=MEASURE_SIZE)
    not_negative(start_ppm, what="The level at the start", remedy="Enter it in ppm.")
    not_negative(loss_per_h, what="The further loss", remedy="Enter 0 for none.")
