"""What the upper floor remembers."""

from costing.models.batches import Batch, BatchSkin, PlannedAmount, Use
from costing.models.calendar import CalendarLink
from costing.models.channels import Channel
from costing.models.costs import ArticleCost
from costing.models.labour import LabourLine
from costing.models.marks import StepMark
from costing.models.rates import Rates
from costing.models.readings import Reading
from costing.models.recipes import Recipe, RecipeLine, RecipeStep, RecipeVersion
from costing.models.sittings import Sitting, SittingSkin

__all__ = [
    "ArticleCost",
    "Batch",
    "BatchSkin",
    "CalendarLink",
    "Channel",
    "LabourLine",
    "PlannedAmount",
    "Rates",
    "Reading",
    "Recipe",
    "RecipeLine",
    "RecipeStep",
    "RecipeVersion",
    "Sitting",
    "SittingSkin",
    "StepMark",
    "Use",
]
