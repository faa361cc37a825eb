"""The page that says where a batch differs from its recipe, in money and in words."""

from dataclasses import dataclass
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.make.batches.models import Batch
from costing.make.batches.variance import rules as variance, selectors as variance_read
from costing.make.batches.variance.rules import Shown, Variance
from costing.make.batches.variance.selectors import MaterialRow
from inventory.base import selectors as workshop
from inventory.templatetags import figures
from inventory.web.trail import page, to


@dataclass(frozen=True)
class Sum:
    """A variance as it is read: amounts without a sign, each with its word."""

    shown: Shown

    @property
    def word(self) -> str:
        return variance.word(self.shown.total)

    @property
    def total(self) -> str:
        return in_words(self.shown.total)

    @property
    def price(self) -> str:
        return in_words(self.shown.price)

    @property
    def usage(self) -> str:
        return in_words(self.shown.usage)


@dataclass(frozen=True)
class MaterialLine:
    """A line of materials in words; `sum` None where the recipe's amount is not known."""

    name: str
    code: str
    planned: str
    used: str
    sum: Sum | None
    note: str


def in_words(amount: Decimal) -> str:
    """2.40 € more, 1.05 € less, or as planned."""
    return f"{figures.money(abs(amount))} {variance.word(amount).removeprefix('costs ')}" if amount else "as planned"


@require_safe
def variances(request: HttpRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(variance_read.detailed(), number=number)
    found, places = variance_read.of(batch), workshop.places()
    return page(
        request,
        "costing/make/batches/variance/variance.html",
        f"{batch.number} compared with its recipe",
        to(batch),
        batch=batch,
        rows=[_line(row, places) for row in found.materials],
        materials=_sum(found.material_total, places),
        work=found.work,
        work_sum=_sum(found.work.found, places) if found.work else None,
        total=_sum(found.total, places),
        done=batch.state == Batch.State.DONE,
    )


def _line(row: MaterialRow, places: int) -> MaterialLine:
    return MaterialLine(
        row.material.name,
        row.material.code,
        "–" if row.planned is None else figures.quantity(row.planned, row.material.unit),
        figures.quantity(row.used, row.material.unit),
        _sum(row.found, places) if row.found is not None else None,
        row.missing or ("" if row.planned else "not in the recipe"),
    )


def _sum(found: Variance, places: int) -> Sum:
    return Sum(variance.shown(found, places))
