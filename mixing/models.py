"""The bottle's path: recipes in versions, stock, vessels, batches, readings."""

from mixing.air.models import AirSettings, air_settings
from mixing.bench.batch_models import Batch, Fill, Pour, Reading, StockMovement
from mixing.bench.models import KindMark, Vessel
from mixing.bench.settings_models import BenchSettings
from mixing.flash_points.models import FlashPoint, FlashPointWithdrawal
from mixing.laying.models import LayingSettings
from mixing.recipes.models import Immutable, Kind, Recipe, RecipeVersion, Substance
from mixing.rule_sets.models import RuleSet, RuleSetVersion
from mixing.shelf.models import (
    Basis,
    Chemical,
    Dispenser,
    StockContainer,
    StorageSpot,
    WaterTest,
)

__all__ = [
    "AirSettings",
    "Basis",
    "Batch",
    "BenchSettings",
    "Chemical",
    "Dispenser",
    "Fill",
    "FlashPoint",
    "FlashPointWithdrawal",
    "Immutable",
    "Kind",
    "KindMark",
    "LayingSettings",
    "Pour",
    "Reading",
    "Recipe",
    "RecipeVersion",
    "RuleSet",
    "RuleSetVersion",
    "StockContainer",
    "StockMovement",
    "StorageSpot",
    "Substance",
    "Vessel",
    "WaterTest",
    "air_settings",
]
