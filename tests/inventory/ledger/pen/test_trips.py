from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.ledger.pen import trips

pytestmark = pytest.mark.django_db


def test_what_is_asked_together_is_answered_in_its_order() -> None:
    asked = [("SELECT %s", [1]), ("SELECT %s WHERE 1 = 0", ["none"]), ("SELECT %s UNION ALL SELECT 3", [2])]
    assert trips.ask(asked) == [[(1,)], [], [(2,), (3,)]]


def test_text_that_looks_like_sql_stays_text() -> None:
    assert trips.ask([("SELECT %s", ["a; DROP TABLE x; -- %s"]), ("SELECT %s", ["'"])]) == [
        [("a; DROP TABLE x; -- %s",)],
        [("'",)],
    ]


@pytest.mark.parametrize("many", [0, 1, 2, 301])
def test_a_statement_is_sent_as_often_as_it_has_rows(many: int) -> None:
    with CaptureQueriesContext(connection) as sent:
        trips.send([("DELETE FROM inventory_lotdraw WHERE id = %s", [(0,)] * many)])
    assert len(sent) == (1 if many else 0)
