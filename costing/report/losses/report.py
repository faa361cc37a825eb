"""The report of how often skins are lost, by step, species and supplier, over all years: one year says too little."""

from costing.make.losses import rules as losses
from costing.report.losses import selectors as losses_read
from inventory.money import half_up
from inventory.report import Column, Form, Kind, Table

COLUMNS = (
    Column("by", "By", forms=Form.DATA | Form.PAPER, share=1.2),
    Column("of_what", "Which", share=3),
    Column("lost", "Lost", Kind.COUNT, share=0.8),
    Column("of", "Of", Kind.COUNT, share=0.8),
    Column("percent", "Rate, %", Kind.EXACT, Form.DATA | Form.PAPER),
    Column("rate", "Rate", Kind.PERCENT, Form.PAGE),
    Column("few", "Says", forms=Form.PAGE, blank=""),
)


def rates() -> Table:
    fates = losses_read.fates()
    tables = {
        "step": losses.by_stage(fates),
        "species": losses.by_trait(fates, "species"),
        "supplier": losses.by_trait(fates, "supplier"),
    }
    rows = tuple(
        {
            "by": by,
            "of_what": name or "nobody named",
            "lost": rate.lost,
            "of": rate.of,
            "percent": half_up(rate.rate * 100, 1),
            "rate": half_up(rate.rate * 100, 1),
            "few": "few" if rate.few else "",
        }
        for by, found in tables.items()
        for name, rate in found.items()
    )
    return Table("losses", "Losses, all years", COLUMNS, rows, forms=Form.FILES | Form.PAPER)
