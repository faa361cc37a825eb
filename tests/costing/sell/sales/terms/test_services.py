"""The terms of selling: one row, set whole, refused beside the box that is wrong."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from costing.models import Terms
from costing.sell.sales.terms import selectors as papers, services as terms
from inventory.errors import NotAllowed, Refused
from tests import factories as make

pytestmark = pytest.mark.django_db
D = Decimal

ALL: dict[str, Any] = {
    "tax_number": "FI12345678",
    "business_number": "1234567-8",
    "law": "UK",
    "short_limit": D(250),
    "prices_with_tax": False,
    "untaxed_words": "No VAT: not registered.",
    "payment_days": 30,
    "payment_words": "By bank, with the number of the invoice.",
    "deposit_percent": D("33.5"),
    "storage_free_days": 14,
    "storage_per_day": D("1.50"),
    "turnover_limit": D(20000),
    "rolling": True,
}


def test_terms_nobody_set_are_plain_and_not_written() -> None:
    row = papers.terms()
    assert (row.tax_number, row.payment_days, row.deposit_percent, row.storage_per_day) == ("", 14, D(40), D(0))
    assert not row.taxed
    assert not Terms.objects.exists()


def test_all_terms_are_kept_as_set_and_stay_one_row() -> None:
    for _ in range(2):
        terms.set_terms(**ALL)
    row = Terms.objects.get()
    assert {name: getattr(row, name) for name in ALL} == ALL
    assert papers.terms().taxed


def test_words_left_empty_are_the_usual_ones() -> None:
    terms.set_terms(untaxed_words="  ")
    assert Terms.objects.get().untaxed_words == Terms().untaxed_words != ""


@pytest.mark.parametrize("edge", [{"payment_days": 0}, {"storage_free_days": 3650}, {"deposit_percent": D(100)}])
def test_edges_are_allowed(edge: dict[str, Any]) -> None:
    terms.set_terms(**edge)
    assert Terms.objects.filter(**edge).exists()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"law": "XX"}, "not a law known here"),
        ({"payment_days": -1}, "cannot be; enter 0 to"),
        ({"storage_free_days": 3651}, "cannot be; enter 0 to"),
        ({"deposit_percent": D(-1)}, "cannot be negative"),
        ({"deposit_percent": D("100.001")}, "more than the price"),
        ({"deposit_percent": D("33.3333")}, "more than 3 decimals"),
        ({"storage_per_day": D("0.005")}, "decimals"),
        ({"storage_per_day": D(-1)}, "cannot be negative"),
        ({"short_limit": D(0)}, "more than nothing"),
        ({"turnover_limit": D(-5)}, "more than nothing"),
        ({"tax_number": "a\x07"}, "control character"),
        ({"payment_words": "x" * 201}, "longer than 200"),
    ],
)
def test_wrong_terms_are_refused_by_name_and_nothing_is_written(wrong: dict[str, Any], said: str) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        terms.set_terms(**{**ALL, **wrong})
    assert refusal.value.field == next(iter(wrong))
    assert not Terms.objects.exists()


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_sets_terms(role: str) -> None:
    with pytest.raises(NotAllowed):
        terms.set_terms(by=make.person(role))
    assert not Terms.objects.exists()
