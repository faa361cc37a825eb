"""The month's material use as a paper."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from costing.make.batches.issues import selectors as batch_usage
from inventory import money, units
from inventory.base import selectors as workshop
from inventory.ledger.usage import selectors as usage_selector

if TYPE_CHECKING:
    from workshop.papers.month import MonthReport


def month_report(month: str) -> MonthReport:
    from workshop.papers.month import BatchUse, MonthLine, MonthReport

    number = usage_selector.month_number(month)
    lines = []
    for flow in usage_selector.flows(number):
        material = flow.material
        quantities = {
            name: units.from_base(getattr(flow, name), material.unit)
            for name in ("opening", "received", "used", "closing")
        }
        lines.append(
            MonthLine(
                code=material.code,
                name=material.name,
                unit=units.label(material.unit),
                other=-units.from_base(flow.other, material.unit),
                opening_value=_coins(flow.opening_value),
                received_value=_coins(flow.received_value),
                used_value=_coins(flow.used_value),
                other_value=-_coins(flow.other_value),
                closing_value=_coins(flow.closing_value),
                **quantities,
            )
        )
    uses = (
        BatchUse(
            use.batch,
            use.material.name,
            units.label(use.material.unit),
            units.from_base(use.quantity, use.material.unit),
            _coins(use.value),
        )
        for use in batch_usage.by_batch(number)
    )
    row = workshop.current()
    return MonthReport(
        title=row.name,
        month=usage_selector.month_text(number),
        currency=row.currency,
        lines=tuple(lines),
        by_batch=tuple(uses),
        written_on=workshop.today(),
    )


def month_pdf(month: str) -> bytes:
    from workshop.papers import month as paper

    return paper.render(month_report(month))


def _coins(value: Decimal) -> Decimal:
    return money.half_up(value, workshop.places())
