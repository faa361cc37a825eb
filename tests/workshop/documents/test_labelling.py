"""A run of labels read from the records: in the order named, each name answered, refused in words before anything is drawn."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.errors import Refused
from workshop.documents import labelling
from workshop.documents.labelling import KINDS, Run

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")


def test_labels_come_in_the_order_named_as_often_as_named_and_however_the_name_is_typed() -> None:
    laid = labelling.lay(Run("tag", ["h13", "H03", "H13"]))
    assert laid.named == ("h13", "H03", "H13")
    assert [card.title for card in laid.cards] == [laid.cards[0].title, "Tag H03", laid.cards[0].title]
    assert "H13" in laid.cards[0].title


def test_a_batch_with_several_frame_tags_names_each_of_them() -> None:
    laid = labelling.lay(Run("frame", ["B1"]))
    assert set(laid.named) == {"B1"}
    assert len(laid.named) == len(laid.cards) == laid.labels


@pytest.mark.parametrize(
    ("which", "name", "field"),
    [
        ("care", "H99", "article"),
        ("ticket", "H99", "article"),
        ("tag", "H99", "skin"),
        ("bath", "B99", "batch"),
        ("jar", "NONE", "material"),
        ("number", "F99", "frame"),
        ("shelf", "Nowhere", "place"),
    ],
)
def test_one_name_of_nothing_refuses_the_run_by_that_name(which: str, name: str, field: str) -> None:
    good = {
        "article": "H03",
        "skin": "H03",
        "batch": "B1",
        "material": "SALT",
        "frame": "F1",
        "place": "Chemical shelf",
    }
    with pytest.raises(Refused, match=name) as refused:
        labelling.lay(Run(which, [good[KINDS[which].of], name]))
    assert refused.value.field == field


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(("which", "most"), [("care", 2), ("ticket", 1), ("tag", 1), ("jar", 1), ("bath", 1)])
def test_a_label_has_as_many_languages_as_its_record_holds(which: str, most: int) -> None:
    assert KINDS[which].languages == most
    name = {"jar": "SALT", "bath": "B1"}.get(which, "H03")
    assert labelling.lay(Run(which, [name], languages=["fi", "sv"][:most])).labels == 1
    with pytest.raises(Refused) as refused:
        labelling.lay(Run(which, [name], languages=["fi", "sv", "de"][: most + 1]))
    assert refused.value.field == "language"


def test_trying_a_run_says_what_printing_it_would() -> None:
    small = labelling.lay(Run("care", ["H03"], copies=40, sheet="12x12mm"))
    with pytest.raises(Refused) as tried:
        small.tried()
    with pytest.raises(Refused) as printed:
        small.print()
    assert (str(tried.value), tried.value.field) == (str(printed.value), "sheet")
    labelling.lay(Run("care", ["H03"], copies=40, sheet="3x7", start=8)).tried()


def test_naming_all_articles_asks_the_database_no_more_than_naming_one() -> None:
    labelling.lay(Run("care", ["H03"]))
    with CaptureQueriesContext(connection) as one:
        labelling.lay(Run("care", ["H03"]))
    with CaptureQueriesContext(connection) as many:
        labelling.lay(Run("care", ["H03", "H04", "H12", "CUSH1", "H08-1"]))
    assert len(many) == len(one)
