"""What the upper floor remembers."""

from costing.make.additions.models import SkippedAddition
from costing.make.batches.models import Batch, BatchSkin, PlannedAmount, StruckStay, Use
from costing.make.cost.models import ArticleCost, SkinCost
from costing.make.cost.rates.models import Rates
from costing.make.frames.models import Frame, Lacing, Repair
from costing.make.labour.models import LabourLine
from costing.make.labour.sessions.models import SessionSkin, WorkSession
from costing.make.readings.areas.models import PhotoArea
from costing.make.readings.models import Reading
from costing.make.recipes.models import Recipe, RecipeLine, RecipeStep, RecipeVersion
from costing.make.steps.calendar.models import CalendarLink
from costing.make.steps.models import StepMark
from costing.sell.accounts.models import OpeningBalance, Transfer
from costing.sell.bills.models import BillPayment
from costing.sell.customers.models import Customer
from costing.sell.debts.reminders.models import Reminder
from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense, SideHours
from costing.sell.fairs.models import Fair, FairPiece
from costing.sell.headings.models import CostHeading, CostKind
from costing.sell.jobs.models import Job
from costing.sell.payments.models import Payment
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.models import Sale, SaleLine, Series
from costing.sell.sales.terms.models import Terms
