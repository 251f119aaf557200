"""Names that outside checks call stay where they are, whatever moves around them."""

from __future__ import annotations

from importlib import import_module

import pytest
from django.apps import apps
from django.db.migrations.loader import MigrationLoader

from tests.test_architecture import modules, tree_of

NAMES = {
    "mixing.chemistry.alcohol": "density_g_per_ml mass_fraction vv_pct blend make_up",
    "mixing.safety.flammable": "flash_point_c flammable_category",
    "mixing.safety.ventilation": (
        "dilution_flow_m3_per_h lel_flow_m3_per_h concentration_ppm purge_hours"
    ),
    "mixing.climate.air": (
        "dew_point_c wet_bulb_c humidity_ratio saturation_pressure_pa"
    ),
    "mixing.climate.drying": "evaporation_kg_per_m2_h open_time",
    "mixing.sheet": "mixing_sheet SheetRequest MixingSheet",
    "jobs.vin": "check_vin",
    "jobs.nesting": "plan_pull Blank Roll Offcut Rules Budget PullPlan",
    "jobs.scheduling": "solve quick_plan Problem Plan Settings Placed Level",
}
LISTS = {"jobs.models", "jobs.nesting", "mixing.models", "mixing.sheet"}
LISTS |= {"jobs.scheduling", "mixing.safety.flammable"}


@pytest.mark.parametrize("module", NAMES)
def test_a_name_that_stays_can_be_imported(module):
    found = import_module(module)
    assert [name for name in NAMES[module].split() if not hasattr(found, name)] == []


def test_only_the_named_lists_hand_names_on():
    listing = {
        name
        for name in modules()
        for line in tree_of(name).body
        if getattr(getattr(line, "targets", [None])[0], "id", "") == "__all__"
    }
    assert listing == LISTS


@pytest.mark.parametrize("app", ["shopapp", "jobs", "mixing"])
def test_the_models_of_an_app_are_those_of_its_migrations(app):
    state = MigrationLoader(None).project_state()
    migrated = {name for label, name in state.models if label == app}
    found = {model._meta.model_name for model in apps.get_app_config(app).get_models()}
    assert found == migrated
