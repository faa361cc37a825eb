"""Work of a later day is borne by the skins that are still there, in whatever order it is written down."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.make.cost import selectors as costs
from inventory.models import Article
from tests import factories

pytestmark = pytest.mark.django_db


def books(*numbers: str) -> list[Decimal]:
    found = dict(Article.objects.values_list("number", "book_cost"))
    return [found[number] for number in numbers]


@pytest.mark.parametrize("work_first", [True, False])
def test_a_finished_skin_bears_no_work_of_a_later_day(work_first: bool) -> None:
    factories.skin("H01")
    factories.skin("H02")
    batch = factories.batch(tags=["H01", "H02"])
    factories.work(minutes=60, batch=batch)
    late = date(2025, 3, 20)
    if work_first:
        factories.work(on=late, minutes=60, batch=batch, who="Aino", paid=Decimal(8))
    factories.finish("H01", on=date(2025, 3, 10))
    if not work_first:
        factories.work(on=late, minutes=60, batch=batch, who="Aino", paid=Decimal(8))
    factories.finish("H02", on=date(2025, 3, 25))
    assert books("A-H01", "A-H02") == [Decimal(12), Decimal(20)]


def test_an_article_finished_before_gives_up_what_the_one_that_stayed_bears() -> None:
    for tag in ("H01", "H02"):
        factories.skin(tag)
    batch = factories.batch(tags=["H01", "H02"])
    factories.work(on=date(2025, 3, 20), minutes=60, batch=batch, who="Aino", paid=Decimal(8))
    factories.finish("H02", on=date(2025, 3, 25))
    assert books("A-H02") == [Decimal(16)]
    factories.finish("H01", on=date(2025, 3, 10))
    assert books("A-H01", "A-H02") == [Decimal(12), Decimal(20)]


def test_only_lines_that_name_a_skin_are_read_for_it_and_those_are_shared_among_all_named() -> None:
    first, second = factories.skin("H01"), factories.skin("H02")
    factories.work(minutes=60, tags=["H01", "H02"], who="Aino", paid=Decimal(8))
    factories.work(minutes=60, tags=["H02"], who="Aino", paid=Decimal(5))
    assert costs.own_shares([first], kept=False)["H01"].paid_help == 4
    assert costs.skin_shares([second])["H02"].book() == 12 + 4 + 5
