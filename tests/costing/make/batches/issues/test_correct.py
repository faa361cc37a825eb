"""A use on the wrong batch, material or measure: reversed and entered anew, both or neither, its line of the recipe kept true."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.batches.issues import services as issues
from costing.make.batches.issues.services import Amount
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays import selectors as stays
from costing.make.cost import selectors as costs
from costing.make.frames.making import services as making
from costing.make.recipes.services import Line
from costing.models import Batch, RecipeLine, Use
from costing.report.audit import selectors as audit
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused, ShortStock
from inventory.models import Material, Posting, Skin
from tests import factories as make
from tests.at_once import together
from tests.factories import DAY
from tests.inventory.pages import lines, text

pytestmark = pytest.mark.django_db
D = Decimal
FLOWS = pytest.mark.parametrize("flow", ["average", "fifo"])


@pytest.fixture
def shelf() -> dict[str, Material]:
    kinds = {"SODA": "washing_soda_crystals", "ASH": "soda_ash", "SALT": "salt"}
    return {code: make.material(code, on_hand=10, value=20, substance=kinds[code]) for code in kinds}


@pytest.fixture
def two(shelf: dict[str, Material]) -> tuple[Batch, Batch]:
    """B1 with H01 and B2 with H02, by one recipe of 25 g of soda a litre."""
    for tag in ("H01", "H02"):
        make.skin(tag)
    version = make.recipe("R1", Line(shelf["SODA"], D(25), "g", "per_litre"))
    first, second = (
        make.batch(number, version=version, litres=D(20), tags=[tag]) for number, tag in (("B1", "H01"), ("B2", "H02"))
    )
    return first, second


def line(batch: Batch) -> RecipeLine:
    return batch.version.lines.get()


def added(batch: Batch, of: Material, kilograms: str = "0.5") -> Use:
    """As Add on Today writes it: put in for the recipe's line."""
    return issues.issue(batch=batch, on=DAY, amounts=[Amount(of, D(kilograms), "kg", D(500), line(batch))])


def correct(use: Use, batch: Batch | None, amounts: Sequence[Amount], **more: Any) -> Use:
    return issues.correct(use=use, batch=batch, amounts=amounts, **{"on": DAY, "wrong": "mistaken", **more})


def went(batch: Batch) -> Decimal:
    (amount,) = requirements.amounts(stays.detailed().get(pk=batch.pk))
    return amount.used


def on_hand() -> dict[str, Decimal]:
    return dict(Material.objects.values_list("code", "on_hand"))


def materials() -> dict[str, Decimal]:
    return {tag: Decimal(share.materials.numerator) / share.materials.denominator for tag, share in shares().items()}


def shares() -> Any:
    return costs.skin_shares(Skin.objects.all())


@pytest.mark.thorough(but=1)
@FLOWS
def test_on_the_wrong_batch_it_goes_to_the_right_one_with_its_line(
    two: tuple[Batch, Batch], shelf: dict[str, Material], flow: str
) -> None:
    workshop.set_up(cost_flow=flow)
    use = added(two[0], shelf["SODA"])
    made = correct(use, two[1], [Amount(shelf["SODA"], D("0.5"), "kg", D(500), line(two[0]))])
    assert (went(two[0]), went(two[1])) == (0, D(500))
    assert materials() == {"H01": 0, "H02": 1}
    assert made.posting.movements.get().planned.line == line(two[1])
    back = Posting.objects.get(reverses=use.posting)
    assert (back.reason, back.on) == ("mistaken", DAY)
    assert on_hand()["SODA"] == D(9500)
    assert audit.findings() == []


@pytest.mark.thorough(but=1)
@FLOWS
def test_of_the_wrong_measure_the_right_one_stands_for_the_line(
    two: tuple[Batch, Batch], shelf: dict[str, Material], flow: str
) -> None:
    workshop.set_up(cost_flow=flow)
    use = added(two[0], shelf["SODA"], "5")
    correct(use, two[0], [Amount(shelf["SODA"], D("0.5"), "kg", D(500), line(two[0]))])
    assert went(two[0]) == D(500)
    assert materials()["H01"] == 1
    assert audit.findings() == []


def test_another_of_its_kind_still_stands_for_the_line_and_another_thing_does_not(
    two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    use = correct(added(two[0], shelf["SODA"]), two[0], [Amount(shelf["ASH"], D(200), "g", D(500), line(two[0]))])
    assert use.posting.movements.get().planned.line == line(two[0])
    assert went(two[0]) > 0
    use = correct(use, two[0], [Amount(shelf["SALT"], D(200), "g", D(500), line(two[0]))])
    assert not hasattr(use.posting.movements.get(), "planned")
    assert went(two[0]) == 0  # the soda is asked for again
    assert on_hand() == {"SODA": D(10000), "ASH": D(10000), "SALT": D(9800)}


def test_in_a_batch_of_another_recipe_it_counts_by_its_day(
    two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    other = make.batch("B3", version=make.recipe("R2", Line(shelf["SODA"], D(10), "g", "per_litre")), litres=D(20))
    correct(added(two[0], shelf["SODA"]), other, [Amount(shelf["SODA"], D("0.2"), "kg", D(500), line(two[0]))])
    assert (went(two[0]), went(other)) == (0, D(200))


def test_it_goes_from_a_batch_straight_onto_a_skin(two: tuple[Batch, Batch], shelf: dict[str, Material]) -> None:
    use = correct(added(two[0], shelf["SODA"]), None, [Amount(shelf["SALT"], D(1), "kg")], tags=["H02"])
    assert (use.batch, materials()) == (None, {"H01": 0, "H02": 2})
    assert audit.findings() == []


def test_what_the_shelf_lacks_is_refused_and_the_old_entry_stands(
    two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    use = added(two[0], shelf["SODA"])
    with pytest.raises(ShortStock):
        correct(use, two[0], [Amount(shelf["SODA"], D(11), "kg")])
    assert not Posting.objects.filter(reverses__isnull=False).exists()
    assert went(two[0]) == D(500)


def test_what_is_reversed_already_is_not_corrected(two: tuple[Batch, Batch], shelf: dict[str, Material]) -> None:
    use = added(two[0], shelf["SODA"])
    issues.reverse(use=use, reason="wrong")
    with pytest.raises(Refused, match="reversed already"):
        correct(use, two[0], [Amount(shelf["SODA"], D(1), "kg")])
    assert Use.objects.count() == 1


def test_an_entry_of_a_closed_day_is_corrected_on_an_open_one(
    two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    use = added(two[0], shelf["SODA"])
    workshop.close_books(to=DAY)
    asked = [Amount(shelf["SODA"], D("0.4"), "kg", D(500), line(two[0]))]
    with pytest.raises(ClosedPeriod):
        correct(use, two[0], asked)
    made = correct(use, two[0], asked, on=date(2025, 3, 9))
    assert {made.posting.on, Posting.objects.get(reverses=use.posting).on} == {date(2025, 3, 9)}
    assert audit.findings() == []


def test_one_key_corrects_once(two: tuple[Batch, Batch], shelf: dict[str, Material]) -> None:
    use, asked = added(two[0], shelf["SODA"]), [Amount(shelf["SODA"], D(1), "kg")]
    assert correct(use, two[0], asked, request_key="k") == correct(use, two[0], asked, request_key="k")
    assert Use.objects.count() == 2


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_two_hands_at_once_one_corrects() -> None:
    salt = make.material("SALT", on_hand=10, value=20)
    batch = make.batch("B1")
    use = make.put(batch, salt, 5)
    answers = together(*[lambda: correct(use, batch, [Amount(salt, D(1), "kg")])] * 2)
    assert sorted(type(answer).__name__ for answer in answers) == ["Refused", "Use"]
    assert on_hand()["SALT"] == D(9000)


def sent(*rows: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"batch": "B1", "on": "2025-03-04", "wrong": "mistaken", "request_key": "k", **lines(*rows), **more}


def test_the_page_opens_with_what_stands_and_a_double_tap_corrects_once(
    client: Client, two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    use = added(two[0], shelf["SODA"])
    address = reverse("use_correct", args=[use.pk])
    assert address in text(client.get(reverse("batch", args=["B1"])))
    assert address in text(client.get(reverse("posting", args=[use.posting_id])))
    page = client.get(address)
    assert "Material SODA <b>0.5 kg</b>, 1.00 €" in text(page)
    assert "for the recipe's Material SODA" in text(page)
    first = page.context["rows"].forms[0]
    assert [first[name].value() for name in ("material", "unit")] == [shelf["SODA"].pk, "kg"]
    row = {"material": shelf["SODA"].pk, "amount": "0.6", "unit": "kg"}
    for _ in range(2):
        answer = client.post(address, sent(row, batch="B2"))
        assert answer["location"] == reverse("batch", args=["B2"])
    assert (went(two[0]), went(two[1])) == (0, D(600))
    assert Use.objects.count() == 2


def test_an_emptied_row_was_not_so_and_another_keeps_its_line(
    client: Client, two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    asked = [Amount(shelf["SALT"], D(1), "kg"), Amount(shelf["SODA"], D("0.5"), "kg", D(500), line(two[0]))]
    use = issues.issue(batch=two[0], on=DAY, amounts=asked)
    row = {"material": shelf["SODA"].pk, "amount": "0.5", "unit": "kg"}
    client.post(reverse("use_correct", args=[use.pk]), sent({}, row))
    assert went(two[0]) == D(500)
    made = Use.objects.order_by("pk").last()
    assert made is not None
    assert made.posting.movements.get().planned.line == line(two[0])


def test_short_stock_is_told_beside_its_row(
    client: Client, two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    use = added(two[0], shelf["SODA"])
    row = {"material": shelf["SODA"].pk, "amount": "50", "unit": "kg"}
    page = text(client.post(reverse("use_correct", args=[use.pk]), sent(row)))
    assert "50 kg wanted, 10 kg on the shelf." in page
    assert Use.objects.count() == 1


def test_what_is_shared_by_weight_stays_so_when_it_is_corrected(
    two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    for tag, weight in (("H01", 14_500), ("H02", 5_000)):
        Skin.objects.filter(tag=tag).update(green_weight=weight)
    asked = [Amount(shelf["SALT"], D(2), "kg")]
    use = issues.issue(batch=None, on=DAY, amounts=asked, tags=["H01", "H02"], share_by="weight")
    made = correct(use, None, [Amount(shelf["SALT"], D(3), "kg")], tags=["H01", "H02"], share_by="weight")
    assert made.share_by == "weight"
    assert audit.findings() == []


def test_what_went_into_a_frame_is_no_entry_of_a_batch(
    client: Client, two: tuple[Batch, Batch], shelf: dict[str, Material]
) -> None:
    made = making.build(number="F1", on=DAY, lacings=12, cost=D("18.24"))
    use = issues.issue(batch=None, on=made.made_on, amounts=[Amount(shelf["SALT"], D(1), "kg")], frame=made)
    with pytest.raises(Refused, match="Reverse it on the page of the frame"):
        correct(use, two[0], [Amount(shelf["SALT"], D(1), "kg")])
    assert client.get(reverse("use_correct", args=[use.pk])).status_code == 404
    assert "/correct/" not in text(client.get(reverse("posting", args=[use.posting_id])))
