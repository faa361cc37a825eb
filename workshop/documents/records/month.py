"""The month's material use as a paper."""

from __future__ import annotations

from decimal import Decimal

from costing.make.batches.issues import selectors as issues
from inventory import money, units
from inventory.base import selectors as workshop
from inventory.ledger.usage import selectors as usage
from workshop.documents.reports.month import BatchUse, MonthLine, MonthReport


def month_report(month: str) -> MonthReport:
    number, row = usage.month_number(month), workshop.current()
    return MonthReport(
        title=row.name,
        month=usage.month_text(number),
        currency=row.currency,
        lines=tuple(_line(flow) for flow in usage.flows(number)),
        by_batch=tuple(_use(use) for use in issues.by_batch(number)),
        printed_on=workshop.today(),
    )


def _line(flow: usage.Flow) -> MonthLine:
    """In the material's own unit and in coins; what left for no batch is other use with its sign turned."""
    material = flow.material
    quantities = (flow.opening, flow.received, flow.used, -flow.other, flow.closing)
    values = (flow.opening_value, flow.received_value, flow.used_value, -flow.other_value, flow.closing_value)
    opening, received, used, other, closing = (units.from_base(each, material.unit) for each in quantities)
    opening_value, received_value, used_value, other_value, closing_value = map(_coins, values)
    return MonthLine(
        material.code,
        material.name,
        units.label(material.unit),
        (opening, received, used, other, closing),
        (opening_value, received_value, used_value, other_value, closing_value),
    )


def _use(use: issues.BatchUse) -> BatchUse:
    quantity = units.from_base(use.quantity, use.material.unit)
    return BatchUse(use.batch, use.material.name, units.label(use.material.unit), quantity, _coins(use.value))


def _coins(value: Decimal) -> Decimal:
    return money.half_up(value, workshop.places())
