"""What stays for good of uses, labour, frozen costs, papers, payments and costs: what their links hold."""

from costing.make.batches.models import Use
from costing.make.cost.models import ArticleCost
from costing.make.frames.models import Repair
from costing.make.labour.models import LabourLine
from costing.make.readings.areas.models import PhotoArea
from costing.sell.accounts.models import Transfer
from costing.sell.bills.models import BillPayment
from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense, SideHours
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale, SaleLine
from inventory.base.chain.kinds import Kind, Part

_ENTRY = ("reverses", "written_at", "written_by")
_BOUGHT = ("tax_percent", "tax", "original_sum", "original_currency")
_PAPER = (
    "kind",
    "sequence",
    "number",
    "on",
    "issued_on",
    "due_on",
    "customer",
    "channel",
    "fair",
    "credits",
    "packing",
)
_ISSUED = ("currency", "seller", "buyer", "taxed", "prices_with_tax", "tax_level", "tax_way", "net", "tax", "gross")
_LINE = ("of_line", "position", "kind", "article", "job", "skin", "words", "quantity", "asked", "discount")
_TAXED = ("tax_percent", "relief", "net", "tax", "gross", "book", "full", "own_minutes")
_EXACT = ("skin_price", "materials", "paid_help", "minutes", "own_minutes", "laces", "framed", "worn")
_RATES = ("wage_per_hour", "overhead_per_hour", "frame_wear")
_RECEIPT = ("number", "sequence", "on", "amount", "how", "sale", "job", "customer", "seller", "buyer", "work", "agreed")
_MEASURED = ("area", "plus_minus", "usable", "perimeter", "length", "width", "frame_width", "frame_height", "apart")
_SPENT = ("on", "kind", "amount", "words", "sale", "fair", "withheld", "how", "due_on", "distance", "unit", "rate")

KINDS = (
    Kind("use", Use, ("posting", "batch", "frame", "share_by"), parts=(Part(Use.skins.through, "use", ("skin",)),)),
    Kind(
        "labour",
        LabourLine,
        ("on", "batch", "task", "kind", "minutes", "who", "paid", "how", "laced", *_ENTRY),
        parts=(Part(LabourLine.skins.through, "labourline", ("skin",)),),
    ),
    Kind("repair", Repair, ("frame", "on", "what", "lacings", "cost", "minutes", "use", *_ENTRY)),
    Kind(
        "frozen cost",
        ArticleCost,
        ("article", *_EXACT, *_RATES, "book", "full", "split"),
        changes=("late_book", "late_full", "late_minutes", "late_own_minutes", "settled_on"),
    ),
    Kind(
        "paper",
        Sale,
        (*_PAPER, "reason", "note", *_ISSUED, "written_at", "written_by"),
        changes=("settled_on",),
        parts=(Part(SaleLine, "sale", (*_LINE, *_TAXED), ("standing",)),),
    ),
    Kind("payment", Payment, (*_RECEIPT, "tax_percent", "opening", "note", *_ENTRY)),
    Kind("cost", Expense, (*_SPENT, "life_years", "person", *_BOUGHT, *_ENTRY), changes=("bill",)),
    Kind("hours", SideHours, ("on", "kind", "minutes", "words", *_ENTRY)),
    Kind("bill", BillPayment, ("on", "amount", "how", "delivery", "expense", "note", *_ENTRY)),
    Kind("write-off", WriteOff, ("sale", "on", "amount", "reason", *_ENTRY)),
    Kind("transfer", Transfer, ("on", "amount", "source", "target", "words", *_ENTRY)),
    # Struck out on its row, and then the next one came after what had stood before it.
    Kind(
        "area",
        PhotoArea,
        ("skin", "wet", "on", *_MEASURED, "photo", "taps", "written_at", "written_by"),
        changes=("was", "reversed_at", "reverser"),
    ),
)
