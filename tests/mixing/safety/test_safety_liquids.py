"""Categories, flash points, labels and waste against their printed limits."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mixing.chemistry.alcohol import mass_fraction, vv_pct
from mixing.safety.flammable import (
    Ground,
    check_category,
    flammable_category,
    liquid_class,
    nfpa_class,
)
from mixing.safety.flash_point import flash_estimate, flash_point_c
from mixing.safety.labels import (
    Hazard,
    Ingredient,
    label_elements,
    mixture_hazards,
    solution_ingredients,
)
from mixing.safety.waste import drain_decision, waste_decision
from mixing.tables import table
from shopapp.figures import Figure, explain
from tests.cases import rows
from tests.mixing.safety.safety_cases import mixture_label

SIGNAL_RANK = {None: 0, "Warning": 1, "Danger": 2}
SEVERITY = {row["hazard"]: int(row["severity"]) for row in table("label_elements")}
ENDPOINT = {row["hazard"]: row["endpoint"] for row in table("label_elements")}


def number(text: str) -> float | None:
    return float(text) if text else None


@pytest.mark.parametrize("row", rows("safety_categories"))
def test_category_and_class_change_exactly_at_their_limits(row):
    points = {
        "flash_point_c": number(row["flash_point_c"]),
        "boiling_point_c": number(row["boiling_point_c"]),
    }
    assert flammable_category(**points) == number(row["category"])
    assert nfpa_class(**points) == row["nfpa"]


def test_liquid_without_flash_point_is_not_classified():
    assert flammable_category(flash_point_c=None, boiling_point_c=100) is None
    assert nfpa_class(flash_point_c=None, boiling_point_c=100) is None


@pytest.mark.parametrize("row", rows("safety_flash_points"), ids=lambda r: r["what"])
def test_published_flash_point_lies_inside_the_printed_spread(row):
    share = mass_fraction(vv_pct=float(row["vv_pct"]))
    found = flash_estimate(mass_fraction=share)
    assert found is not None
    assert found.low_c <= float(row["flash_point_c"]) <= found.high_c


@pytest.mark.parametrize("room", ["flammable", "flash_point"])
def test_a_figure_kept_before_the_flash_point_moved_still_opens(room):
    kept = {
        "value": 30.7,
        "unit": "degc",
        "made_by": f"mixing.safety.{room}.flash_point_c",
        "inputs": {"mass_fraction": 0.142, "vv_pct": 17.7},
        "low": 25.7,
        "high": 38.7,
        "note": "estimate",
    }
    opened = explain(Figure.from_json(kept).made_by)
    assert opened.summary.startswith("Estimated closed-cup flash point")
    assert "gamma" in opened.formula
    assert "Liaw and Chiu" in opened.source


def test_water_has_no_flash_point():
    assert flash_point_c(mass_fraction=0) is None


@settings(deadline=None)
@given(st.floats(min_value=0.01, max_value=0.99), st.floats(min_value=0, max_value=1))
def test_more_alcohol_never_raises_the_flash_point(weaker, further):
    stronger = weaker + (1 - weaker) * further
    weak = flash_point_c(mass_fraction=weaker)
    strong = flash_point_c(mass_fraction=stronger)
    assert weak is None or (strong is not None and strong <= weak + 1e-6)


@pytest.mark.parametrize(
    ("vv_pct", "category", "nfpa", "below_100f"),
    [
        # Own rule: category by strength (C).
        (99, 2, "IB", True),
        (91, 2, "IB", True),
        (70, 2, "IB", True),
        (20, 2, "IB", True),
        (19.99, 3, "IC", True),
        (17.7, 3, "IC", True),
        (10, 3, "IC", True),
        (2, 3, "IC", True),
        (1.99, None, None, False),
        (0, None, None, False),
    ],
)
def test_strength_gives_the_default_category(vv_pct, category, nfpa, below_100f):
    found = liquid_class(vv_pct=vv_pct)
    assert (found.category, found.nfpa, found.below_100f) == (
        category,
        nfpa,
        below_100f,
    )
    assert found.ground is Ground.STRENGTH


def test_measured_flash_point_wins_over_strength():
    found = liquid_class(vv_pct=25, flash_point_c=28, ground=Ground.MEASURED)
    assert found.category == 3
    assert found.flash is not None
    assert (found.flash.value, found.flash.note) == (28, "measured")


@pytest.mark.parametrize(
    ("flash_f", "below_100f"), [(99.9, True), (100, False), (100.1, False)]
)
def test_flag_of_100_f_ends_exactly_there(flash_f, below_100f):
    # 29 CFR 1910.106(a)(19)(iii): flashpoint below, or at or above, 100 °F (V).
    found = liquid_class(
        vv_pct=8, flash_point_c=(flash_f - 32) / 1.8, ground=Ground.DATA_SHEET
    )
    assert found.below_100f is below_100f


@pytest.mark.parametrize(
    ("share", "down", "up"),
    [(0.1, 5, 8), (0.2, 5, 8), (0.2001, 3, 3), (0.99, 3, 3), (1, 0, 0)],
)
def test_spread_of_the_estimate_is_wider_for_dilute_mixes(share, down, up):
    # Spread between the models and against published points, our judgement (C).
    found = flash_estimate(mass_fraction=share)
    assert found is not None
    assert found.flash_point_c - found.low_c == pytest.approx(down)
    assert found.high_c - found.flash_point_c == pytest.approx(up)


def test_data_sheet_flash_point_of_100_f_lifts_the_flag():
    found = liquid_class(vv_pct=8, flash_point_c=40, ground=Ground.DATA_SHEET)
    assert (found.category, found.nfpa, found.below_100f) == (3, "II", False)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (
            lambda: check_category(category=3, flash_point_c=18, boiling_point_c=81),
            "belongs to category 2, not category 3",
        ),
        (
            lambda: check_category(category=None, flash_point_c=18, boiling_point_c=81),
            "not no category",
        ),
        (
            lambda: flammable_category(flash_point_c=12, boiling_point_c=None),
            "boiling point decides",
        ),
        (
            lambda: flammable_category(flash_point_c=4000, boiling_point_c=80),
            "between -150 and 600",
        ),
        (lambda: flash_point_c(mass_fraction=14.2), "0.142"),
        (lambda: liquid_class(vv_pct=170), "strength"),
        (lambda: liquid_class(vv_pct=20, flash_point_c=30), "measured or"),
    ],
)
def test_wrong_liquid_data_is_refused_with_its_remedy(call, says):
    with pytest.raises(ValueError, match=says):
        call()


@pytest.mark.parametrize("row", rows("safety_labels"), ids=lambda r: r["bottle"])
def test_worked_label(row):
    vv_pct = float(row["vv_pct"])
    category = liquid_class(vv_pct=vv_pct).category
    assert category == number(row["category"])
    ingredients = solution_ingredients(
        vv_pct=vv_pct,
        soap_mass_pct=float(row["soap_mass_pct"]),
        soap_hazards=[Hazard(name) for name in row["soap_hazards"].split()],
    )
    found = label_elements(
        hazards=mixture_hazards(ingredients=ingredients, flammable_category=category)
    )
    assert (found.signal or "") == row["signal"]
    assert " ".join(found.pictograms) == row["pictograms"]
    assert " ".join(found.h_codes) == row["h_codes"]


@pytest.mark.parametrize("row", rows("safety_mixtures"), ids=lambda r: r["what"])
def test_published_cut_off_of_a_mixture(row):
    found = mixture_label(row)
    assert (found.signal or "") == row["signal"]
    assert " ".join(found.pictograms) == row["pictograms"]
    assert " ".join(found.h_codes) == row["h_codes"]


def test_precautions_of_strong_alcohol_are_those_of_its_data_sheet():
    # Safety data sheet of a 91 % swab (2019), its list as far as it was readable (V).
    found = label_elements(
        hazards=[Hazard.FLAM_2, Hazard.EYE_IRRIT_2, Hazard.STOT_SE_3_NARCOTIC]
    )
    read = (
        "P210 P233 P240 P241 P242 P243 P261 P264 P271 P280 P303+P361+P353 P304+P340 "
        "P305+P351+P338 P312 P337+P313 P370+P378"
    )
    assert found.p_codes[:16] == tuple(read.split())


def test_precautions_of_the_tack_bottle_are_the_union_of_both_hazards():
    # CLP Annex I Tables 2.6.2 and 3.3.5 (S).
    found = label_elements(hazards=[Hazard.FLAM_3, Hazard.EYE_IRRIT_2])
    assert found.p_codes == (
        "P210",
        "P233",
        "P240",
        "P241",
        "P242",
        "P243",
        "P264",
        "P280",
        "P303+P361+P353",
        "P305+P351+P338",
        "P337+P313",
        "P370+P378",
        "P403+P235",
        "P501",
    )


@pytest.mark.parametrize("hazard", list(Hazard))
def test_every_hazard_has_all_its_words(hazard):
    found = label_elements(hazards=[hazard])
    assert found.signal in ("Danger", "Warning")
    assert all(phrase.text for phrase in found.hazard_phrases + found.precautions)


@settings(deadline=None)
@given(
    st.floats(min_value=0, max_value=60),
    st.floats(min_value=0, max_value=39),
    st.sets(st.sampled_from(list(Hazard)[4:]), min_size=1),
    st.floats(min_value=0, max_value=60),
)
def test_label_never_shrinks_as_a_hazardous_share_grows(share, more, hazards, other):
    def label(pct: float):
        parts = [
            Ingredient(name="part", mass_pct=pct, hazards=frozenset(hazards)),
            Ingredient(
                name="alcohol",
                mass_pct=min(other, 100 - pct),
                hazards=frozenset({Hazard.EYE_IRRIT_2}),
            ),
        ]
        return label_elements(
            hazards=mixture_hazards(ingredients=parts, flammable_category=3)
        )

    if share + more + other > 100:
        return
    less, grown = label(share), label(share + more)
    severity = {ENDPOINT[h]: SEVERITY[h] for h in grown.hazards}
    assert all(severity.get(ENDPOINT[h], 0) >= SEVERITY[h] for h in less.hazards)
    assert SIGNAL_RANK[grown.signal] >= SIGNAL_RANK[less.signal]
    assert len(grown.h_codes) >= len(less.h_codes)
    assert len(grown.pictograms) >= len(less.pictograms)
    assert len(grown.p_codes) >= len(less.p_codes)


@settings(deadline=None)
@given(st.floats(min_value=0, max_value=100), st.floats(min_value=0, max_value=100))
def test_label_of_stronger_alcohol_says_at_least_as_much(one, other):
    weak, strong = sorted((one, other))

    def label(vv_pct: float):
        return label_elements(
            hazards=mixture_hazards(
                ingredients=solution_ingredients(vv_pct=vv_pct),
                flammable_category=liquid_class(vv_pct=vv_pct).category,
            )
        )

    assert SIGNAL_RANK[label(strong).signal] >= SIGNAL_RANK[label(weak).signal]
    assert set(label(strong).pictograms) >= set(label(weak).pictograms)
    assert set(label(strong).p_codes) >= set(label(weak).p_codes)


SOAPS = [
    frozenset[Hazard](),
    frozenset({Hazard.EYE_IRRIT_2}),
    frozenset({Hazard.EYE_IRRIT_2, Hazard.SKIN_IRRIT_2}),
    frozenset({Hazard.EYE_DAMAGE_1, Hazard.SKIN_IRRIT_2}),
    frozenset({Hazard.EYE_DAMAGE_1, Hazard.SKIN_CORR_1}),
]
"""Classes of a soap, each at least as severe as the one before."""
CODES = {
    row["hazard"]: {row["h_code"], *row["p_codes"].split()}
    for row in table("label_elements")
}


def assert_no_weaker(less, more) -> None:
    """What is no longer printed belonged to a hazard that a worse one replaced."""
    severity = {ENDPOINT[h]: SEVERITY[h] for h in more.hazards}
    assert all(severity.get(ENDPOINT[h], 0) >= SEVERITY[h] for h in less.hazards)
    assert SIGNAL_RANK[more.signal] >= SIGNAL_RANK[less.signal]
    replaced = set(less.hazards) - set(more.hazards)
    of_replaced = set[str]().union(*(CODES[h] for h in replaced))
    gone = {*less.h_codes, *less.p_codes} - {*more.h_codes, *more.p_codes}
    assert gone <= of_replaced
    if "GHS07" in set(less.pictograms) - set(more.pictograms):
        assert "GHS05" in more.pictograms
    assert set(less.pictograms) - set(more.pictograms) <= {"GHS07"}


@settings(deadline=None)
@given(
    st.floats(min_value=0, max_value=60),
    st.floats(min_value=0, max_value=30),
    st.floats(min_value=0, max_value=30),
    st.integers(min_value=0, max_value=len(SOAPS) - 1),
    st.integers(min_value=0, max_value=len(SOAPS) - 1),
)
def test_more_or_stronger_soap_never_takes_a_word_off_the_label(
    vv_pct, soap, more, one, other
):
    def label(mass_pct: float, soap_class: int):
        return label_elements(
            hazards=mixture_hazards(
                ingredients=solution_ingredients(
                    vv_pct=vv_pct,
                    soap_mass_pct=mass_pct,
                    soap_hazards=SOAPS[soap_class],
                ),
                flammable_category=liquid_class(vv_pct=vv_pct).category,
            )
        )

    mild, strong = sorted((one, other))
    assert_no_weaker(label(soap, mild), label(soap + more, mild))
    assert_no_weaker(label(soap, mild), label(soap, strong))
    assert_no_weaker(label(soap, mild), label(soap + more, strong))


def test_a_drop_of_soap_leaves_sleepiness_on_a_bottle_at_its_cut_off():
    def codes(soap_mass_pct: float) -> tuple[str, ...]:
        parts = solution_ingredients(
            vv_pct=vv_pct(mass_fraction=0.2001),
            soap_mass_pct=soap_mass_pct,
            soap_hazards=[Hazard.EYE_IRRIT_2],
        )
        return label_elements(
            hazards=mixture_hazards(ingredients=parts, flammable_category=2)
        ).h_codes

    assert codes(0) == ("H225", "H319", "H336")
    assert codes(0.4) == ("H225", "H319", "H336")


def test_parts_of_more_than_the_whole_are_refused():
    parts = [Ingredient(name="a", mass_pct=60, hazards=frozenset())] * 2
    with pytest.raises(ValueError, match="add up to 120"):
        mixture_hazards(ingredients=parts, flammable_category=None)


@pytest.mark.parametrize(
    ("second", "taken"), [(40, True), (40.001, True), (40.5, False)]
)
def test_parts_may_make_up_the_whole(second, taken):
    parts = [
        Ingredient(name="a", mass_pct=60, hazards=frozenset()),
        Ingredient(name="b", mass_pct=second, hazards=frozenset()),
    ]
    if taken:
        assert mixture_hazards(ingredients=parts, flammable_category=None) == ()
        return
    with pytest.raises(ValueError, match="add up to 100.5"):
        mixture_hazards(ingredients=parts, flammable_category=None)


@pytest.mark.parametrize("row", rows("safety_waste"), ids=lambda r: r["what"])
def test_waste_decision(row):
    found = waste_decision(
        vv_pct=float(row["vv_pct"]),
        flash_point_c=number(row["flash_point_c"]),
        water_mass_pct=number(row["water_mass_pct"]),
        has_other_solvent=row["other_solvent"] == "yes",
    )
    expected = {"yes": True, "no": False, "unknown": None}[row["ignitable"]]
    assert found.is_ignitable is expected


@pytest.mark.parametrize(
    ("vv_pct", "flash", "barred"),
    [
        # 40 CFR 403.5(b)(1): closed-cup flash point below 140 °F or 60 °C (S).
        (17.7, None, True),
        (10, None, True),
        (10, 40, True),
        (5, 59.9, True),
        (5, 60, False),
        # Without one: our own rule, 2 % v/v and up.
        (2, None, True),
        (1.99, None, False),
        (1.5, None, False),
        (0, None, False),
    ],
)
def test_sewer_rule_bars_what_flashes_below_60_c(vv_pct, flash, barred):
    found = drain_decision(vv_pct=vv_pct, flash_point_c=flash)
    assert found.is_barred is barred
    assert "drain" in str(found.sentence)
