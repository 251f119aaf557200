"""Water: density, hardness, dissolved solids, and what it leaves behind (pure)."""

from __future__ import annotations

import math

from mixing.chemistry.bounds import within
from mixing.tables import table
from shopapp.figures import formula, given
from shopapp.say import Say, say


@formula("water.water_density_g_per_ml")
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


HARDNESS_MG_PER_L = {
    "mg/L": 1.0,
    "gpg": 64.79891 / 3.785411784,
    "dH": 10 * 100.0869 / 56.0774,
    "fH": 10.0,
    "mmol/L": 100.0869,
}
"""Units on test strips: as CaCO3, grains per US gallon, German, French degree."""

TAP, FILTERED, DISTILLED = "tap", "filtered", "distilled"
ORIGINS = (TAP, FILTERED, "reverse osmosis", "deionised", DISTILLED)
"""Where the water comes from."""

TDS_LIMIT_MG_PER_L = 300.0
HARDNESS_LIMIT_MG_PER_L = 120.0
"""Above these the advice is distilled: common practice, no published source."""


@formula("water.hardness_mg_per_l")
def hardness_mg_per_l(*, value: float, unit: str) -> float:
    """Hardness in mg/L as calcium carbonate from a test strip's unit.

        1 grain per US gallon = 64.79891 mg / 3.785411784 L = 17.1 mg/L
        1 German degree = 10 mg/L of CaO = 17.8 mg/L;  1 French degree = 10 mg/L

    value    the reading, 0 or more
    unit     "mg/L", "gpg", "dH", "fH" or "mmol/L"
    Not for: the English (Clark) degree.
    Source: NIST Handbook 44 appendix C for grain and gallon; molar masses 100.0869 of
        CaCO3 and 56.0774 of CaO for the degrees.

    >>> round(hardness_mg_per_l(value=1, unit="gpg"), 1)
    17.1
    """
    if unit not in HARDNESS_MG_PER_L:
        raise ValueError(f"Hardness is read in {', '.join(HARDNESS_MG_PER_L)}.")
    within(value, what="The hardness", low=0, high=math.inf, unit=unit)
    return value * HARDNESS_MG_PER_L[unit]


@formula("water.hardness_class")
def hardness_class(*, hardness_mg_per_l: float) -> str:
    """The published class of a hardness.

        soft up to 60, moderately hard to 120, hard to 180, then very hard

    hardness_mg_per_l  mg/L as CaCO3, 0 or more
    Not for:           dissolved solids as a whole, see solids_class.
    Source: US Geological Survey, Water Science School, as repeated by two secondary
        pages.

    >>> hardness_class(hardness_mg_per_l=121)
    'hard'
    """
    within(hardness_mg_per_l, what="The hardness", low=0, high=math.inf, unit="mg/L")
    rows = table("water_hardness")
    return next(
        row["class"]
        for row in rows
        if hardness_mg_per_l <= float(row["up_to_mg_per_l"])
    )


@formula("water.solids_class")
def solids_class(*, tds_mg_per_l: float) -> str:
    """The published class of dissolved solids, by taste.

        excellent below 300, good to 600, fair to 900, poor to 1200, then unacceptable

    tds_mg_per_l  total dissolved solids, mg/L, 0 or more
    Not for:      film work as such: it is a class of drinking water.
    Source: World Health Organization, background document on total dissolved solids in
        drinking-water (1996).

    >>> solids_class(tds_mg_per_l=300)
    'good'
    """
    within(tds_mg_per_l, what="Dissolved solids", low=0, high=math.inf, unit="mg/L")
    rows = table("water_solids")
    return next(
        row["class"] for row in rows if tds_mg_per_l < float(row["below_mg_per_l"])
    )


@formula("water.solids_for_film")
def solids_for_film(*, tds_mg_per_l: float) -> str:
    """Whether water with such dissolved solids is fit for film, in a word.

        fit up to 300 mg/L

    tds_mg_per_l  total dissolved solids, mg/L, 0 or more
    Not for:      drinking water, see solids_class.
    Source: common practice, no published source.

    >>> solids_for_film(tds_mg_per_l=450)
    'leaves spots under film'
    """
    within(tds_mg_per_l, what="Dissolved solids", low=0, high=math.inf, unit="mg/L")
    fits = tds_mg_per_l <= TDS_LIMIT_MG_PER_L
    return "fine for film" if fits else "leaves spots under film"


@formula("water.residue_mg_per_m2", was=("advice.residue_mg_per_m2",))
def residue_mg_per_m2(
    *, tds_mg_per_l: float, layer_um: float, water_pct: float = 100.0
) -> float:
    """What a film of water leaves behind when it dries in place.

        m = TDS * h / 1000 * water share

    tds_mg_per_l  dissolved solids of the water, mg/L, 0 or more
    layer_um      wet layer, µm, 0 or more
    water_pct     water in the solution, % by volume, 0 to 100
    Not for:      the ring of a drying drop, which is what one sees; the soap's own
                  solids.
    Source: mass balance.

    >>> residue_mg_per_m2(tds_mg_per_l=300, layer_um=100)
    30.0
    """
    within(tds_mg_per_l, what="Dissolved solids", low=0, high=math.inf, unit="mg/L")
    within(layer_um, what="The wet layer", low=0, high=math.inf, unit="µm")
    within(water_pct, what="The share of water", low=0, high=100, unit="%")
    return tds_mg_per_l * layer_um / 1000 * water_pct / 100


@formula("water.water_advice")
def water_advice(
    *,
    origin: str,
    tds_mg_per_l: float | None = None,
    hardness_mg_per_l: float | None = None,
) -> tuple[Say, ...]:
    """What to say about the water for a mix; nothing when it is fine.

        tested: take distilled above 300 mg/L solids or 120 mg/L hardness
        tap untested: test it once or take distilled

    origin             one of `ORIGINS`
    tds_mg_per_l       dissolved solids by the last test, mg/L, or None
    hardness_mg_per_l  hardness by the last test, mg/L as CaCO3, or None
    Not for:           a promise of no spots: a drying drop leaves a ring.
    Source: common practice, no published source; the classes named are those of the
        US Geological Survey and the World Health Organization.

    >>> [str(each) for each in water_advice(origin="distilled")]
    []
    """
    if origin not in ORIGINS:
        raise ValueError(f"Say where the water comes from: {', '.join(ORIGINS)}.")
    says: list[Say] = []
    if tds_mg_per_l is not None:
        kind = solids_class(tds_mg_per_l=tds_mg_per_l)
        if tds_mg_per_l > TDS_LIMIT_MG_PER_L:
            says.append(
                say(
                    "The water holds {tds} of dissolved solids ({kind} as drinking "
                    "water): use distilled water, it leaves spots under film.",
                    tds=given(tds_mg_per_l, "mg_per_l", "water test"),
                    kind=kind,
                )
            )
    if hardness_mg_per_l is not None:
        kind = hardness_class(hardness_mg_per_l=hardness_mg_per_l)
        if hardness_mg_per_l > HARDNESS_LIMIT_MG_PER_L:
            says.append(
                say(
                    "The water is {kind} ({hardness}): use distilled water, hard water "
                    "weakens soap and leaves spots.",
                    kind=kind,
                    hardness=given(hardness_mg_per_l, "mg_per_l", "water test"),
                )
            )
    if origin == TAP and tds_mg_per_l is None and hardness_mg_per_l is None:
        says.append(
            say("Tap water without a test: test it once, or use distilled water.")
        )
    return tuple(says)
