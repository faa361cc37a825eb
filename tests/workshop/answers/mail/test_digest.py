"""What the digest says of many materials, of those set aside and of names that no header may hold."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.base.accounting import services as workshop
from inventory.foresight.snoozes import services as snoozes
from inventory.models import Material
from inventory.orders import services as orders
from tests import factories as make
from workshop.answers.mail.digest import digest, lines, send

pytestmark = pytest.mark.django_db
TODAY = date(2025, 3, 31)


@pytest.fixture(autouse=True)
def _today(db: None) -> None:
    workshop.set_up(name="Routamo Skins")
    workshop.pin_today(on=TODAY)


def low(code: str, **details: object) -> Material:
    of = make.material(code, on_hand=10, value=50, on=date(2025, 1, 1), **details)
    for week in range(10):
        make.take(of, "0.99", on=TODAY - timedelta(days=7 * week))
    return of


def test_nothing_pressing_sends_no_mail_and_says_so(mailoutbox: list[object]) -> None:
    assert digest(TODAY) is None
    found = send(TODAY, ["maker@example.com"])
    assert list(lines(found)) == ["Nothing presses (as of 2025-03-31), so no mail was sent."]
    assert mailoutbox == []


def test_a_name_with_a_line_end_stays_on_one_line_of_the_subject() -> None:
    low("A", name="Alum\nBcc: all@example.com")
    found = digest(TODAY)
    assert found is not None
    assert "\n" not in found.subject


def test_the_subject_counts_the_others_and_each_has_its_sentence() -> None:
    for code in ("A", "B", "C"):
        low(code)
    found = digest(TODAY)
    assert found is not None
    assert found.subject.endswith(", and 2 more")
    for code in ("A", "B", "C"):
        assert f"\nMaterial {code}: Order " in found.body
        assert f"\n- Material {code}: " in found.body


def test_what_is_set_aside_is_named_last_and_alone_sends_no_mail() -> None:
    snoozes.snooze(material=low("A"), until=TODAY + timedelta(days=9), reason="Cheaper in April")
    assert digest(TODAY) is None
    low("B")
    found = digest(TODAY)
    assert found is not None
    assert "Set aside: Material A, until 9 Apr 2025: Cheaper in April" in found.body
    assert "- Material A" not in found.body


def test_a_late_order_is_said_to_be_late() -> None:
    of = make.material("A", on_hand=10, value=50, on=date(2025, 1, 1))
    line = orders.Line(of, make.Decimal(1), make.Decimal(5), "kg", None)
    orders.place(
        supplier=make.supplier(), on=TODAY - timedelta(days=20), due_on=TODAY - timedelta(days=4), lines=[line]
    )
    found = digest(TODAY)
    assert found is not None
    assert found.subject == "Material A: ordered, 4 days late"
    assert "should have come by 27 Mar 2025: ask for it, or close the order." in found.body
    assert "Shopping list" not in found.body
