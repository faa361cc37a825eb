"""What the upper floor remembers."""

from costing.models.batches import Batch, BatchSkin, PlannedAmount, Use
from costing.models.calendar import CalendarLink
from costing.models.channels import Channel
from costing.models.costs import ArticleCost
from costing.models.customers import Customer
from costing.models.fairs import Fair, FairPiece
from costing.models.jobs import Job
from costing.models.labour import LabourLine
from costing.models.marks import StepMark
from costing.models.payments import Expense, Payment, SideHours
from costing.models.rates import Rates
from costing.models.readings import Reading
from costing.models.recipes import Recipe, RecipeLine, RecipeStep, RecipeVersion
from costing.models.sales import Sale, SaleLine, Series
from costing.models.sittings import Sitting, SittingSkin
from costing.models.terms import Terms

__all__ = [
    "ArticleCost",
    "Batch",
    "BatchSkin",
    "CalendarLink",
    "Channel",
    "Customer",
    "Expense",
    "Fair",
    "FairPiece",
    "Job",
    "LabourLine",
    "Payment",
    "PlannedAmount",
    "Rates",
    "Reading",
    "Recipe",
    "RecipeLine",
    "RecipeStep",
    "RecipeVersion",
    "Sale",
    "SaleLine",
    "Series",
    "SideHours",
    "Sitting",
    "SittingSkin",
    "StepMark",
    "Terms",
    "Use",
]
