"""Who only looks reads the same once; who writes reads anew."""

from datetime import date
from decimal import Decimal

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from pytest_django import DjangoAssertNumQueries

from costing.make.cost.rates import selectors as rates_read, services as rates
from costing.make.cost.reallocation import selectors as reallocation
from inventory.base import selectors as workshop
from workshop.middleware import Refusals

pytestmark = pytest.mark.django_db


def test_the_same_question_is_read_once_within_a_look(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    with workshop.looking(), django_assert_num_queries(3):
        assert rates_read.history() is rates_read.history()
        for until in (None, date(2025, 3, 1), None):
            reallocation.standing(until)
    with django_assert_num_queries(2):
        rates_read.history()
        rates_read.history()


def test_the_next_look_sees_what_was_written() -> None:
    def wage() -> Decimal:
        with workshop.looking():
            return rates_read.current().wage_per_hour

    before = wage()
    rates.set_rates(wage_per_hour=before + Decimal(1))
    assert wage() == before + 1


@pytest.mark.parametrize(("method", "once"), [("GET", True), ("HEAD", True), ("POST", False)])
def test_only_a_request_that_reads_is_a_look(method: str, *, once: bool) -> None:
    same = []

    def view(_: HttpRequest) -> HttpResponse:
        same.append(rates_read.history() is rates_read.history())
        return HttpResponse()

    Refusals(view)(RequestFactory().generic(method, "/"))
    assert same == [once]
