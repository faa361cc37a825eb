"""The report of what everything is worth at book cost at the end of a day."""

from datetime import date

from costing.report.valuation import selectors as valuation
from inventory.base import selectors as workshop
from inventory.report import Cells, Column, Figures, Form, Kind, Link, Report, Table

MATERIALS = (
    Column("material", "Code", forms=Form.DATA),
    Column("name", "Material", forms=Form.PAGE),
    Column("quantity", "Quantity", Kind.QUANTITY),
    Column("unit", "Unit", forms=Form.DATA),
    Column("value", "Value", Kind.MONEY),
)
SUMS = (
    Column("consumables", "Consumables", Kind.MONEY),
    Column("raw_skins", "Raw skins", Kind.MONEY),
    Column("in_work", "In work", Kind.MONEY),
    Column("finished", "Finished", Kind.MONEY),
    Column("total", "Total", Kind.MONEY),
)
# What is no stock any more: lost skins, and what rounding each piece to the cent comes to.
ASIDE = (Column("lost", "Lost", Kind.MONEY), Column("sharing", "Rounding", Kind.MONEY))


def at(on: date) -> Report:
    value, currency = valuation.at(on), workshop.current().currency
    rows: tuple[Cells, ...] = tuple(
        {
            "material": held.material.code,
            "name": Link(held.material.name, "material", held.material.code),
            "quantity": held.quantity,
            "unit": held.material.unit,
            "value": held.value,
        }
        for held in value.materials
    )
    return Report(
        title="What everything is worth",
        period=on.isoformat(),
        currency=currency,
        places=workshop.places(),
        facts={"on": on.isoformat(), "currency": currency},
        sections=(
            Table(
                "materials",
                "Consumables",
                MATERIALS,
                rows,
                summed=("value",),
                empty="The shelf was empty that day.",
                forms=Form.PAGE | Form.JSON,
            ),
            Figures("", "Value", SUMS, {column.key: getattr(value, column.key) for column in SUMS}),
            Figures("aside", "", ASIDE, {column.key: getattr(value, column.key) for column in ASIDE}, Form.PAGE),
        ),
    )
