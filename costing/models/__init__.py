"""What the upper floor remembers."""

from costing.models.batches import Batch, BatchSkin, PlannedAmount, Use
from costing.models.channels import Channel
from costing.models.costs import ArticleCost
from costing.models.labour import LabourLine
from costing.models.rates import Rates
from costing.models.recipes import Recipe, RecipeLine, RecipeVersion

__all__ = [
    "ArticleCost",
    "Batch",
    "BatchSkin",
    "Channel",
    "LabourLine",
    "PlannedAmount",
    "Rates",
    "Recipe",
    "RecipeLine",
    "RecipeVersion",
    "Use",
]
