from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from costing.make.batches import selectors as batches_selectors, services as batches
from costing.make.batches.issues import services as issues_services
from costing.make.batches.requirements import selectors as read
from costing.make.batches.stays import selectors as stays_selectors, services as stays_services
from costing.make.cost import selectors as costs
from costing.make.foresight import selectors as restock_selectors
from costing.make.recipes import services as recipes
from costing.models import ArticleCost, Batch, BatchSkin, PlannedAmount, Use
from costing.report.audit import selectors as audit
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused, ShortStock, Taken
from inventory.models import Kind, Material, Movement, Place, Posting, Skin
from inventory.skins import services as skins
from tests.at_once import together
from tests.factories import DAY, batch, days_from, finish, material, piece, place, put, recipe, skin, work

pytestmark = pytest.mark.django_db
D, F = Decimal, Fraction
day = days_from(DAY)


def salt(value: str = "100.00") -> Material:
    return material("SALT", on_hand=100, value=value)


def borne(of: Batch) -> dict[str, Fraction]:
    """What each skin has borne of the batch's materials."""
    return {tag: share.materials for tag, share in costs.batch_shares([of])[of.pk][0].items()}


def stage(tag: str) -> str:
    return Skin.objects.get(tag=tag).stage


def clean() -> None:
    assert audit.findings() == []


def test_a_planned_batch_keeps_its_recipe_version() -> None:
    first = recipe("R1")
    bath = batch(version=first, litres=D(18))
    recipe("R1")
    bath.refresh_from_db()
    assert (bath.version, bath.version.number, bath.litres, bath.state) == (first, 1, D(18000), "planned")


def test_a_batch_number_is_taken_in_any_spelling() -> None:
    batch("B1")
    with pytest.raises(Taken, match="The batch number b1"):
        batch("b1")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"number": "B 1"}, "number"),
        ({"litres": D(0)}, "litres"),
        ({"share_by": "moon"}, "share_by"),
        ({"note": "a\x07"}, "note"),
        ({"start": date(1960, 1, 1)}, "start"),
        ({"start": date(2100, 1, 1)}, "start"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_beside_its_field(given: dict[str, object], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        batches.plan(**{"number": "B1", "version": recipe(), "start": DAY, **given})  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert not Batch.objects.exists()


def test_skins_named_in_the_plan_join_on_its_start() -> None:
    skin("H01")
    bath = batch(start=day(3), tags=["H01"])
    assert BatchSkin.objects.get(batch=bath).joined_on == day(3)
    assert stage("H01") == "raw"


def test_a_plan_moved_later_takes_its_skins_along() -> None:
    skin("H01")
    bath = batch(tags=["H01"])
    batches.change(batch=bath, start=day(5), litres=D(6), planned_skins=2, place=None, frames=None, note="")
    assert BatchSkin.objects.get().joined_on == day(5)


def test_the_start_stays_once_the_batch_is_in_work() -> None:
    skin("H01")
    bath = batch(tags=["H01"])
    work(batch=bath)
    with pytest.raises(Refused, match="its start stays"):
        batches.change(batch=bath, start=day(1), litres=None, planned_skins=0, place=None, frames=None, note="")
    assert batches.change(
        batch=bath, start=DAY, litres=D(7), planned_skins=0, place=None, frames=None, note="x"
    ).litres == D(7000)


def test_a_batch_knows_its_frames_from_its_tub() -> None:
    racks, tub = place("Frames", Place.Kind.FRAME), place("Taw tub", Place.Kind.TUB)
    bath = batch(place=tub, frames=racks)
    assert (bath.place, bath.frames) == (tub, racks)
    plan: dict[str, Any] = {"batch": bath, "start": DAY, "litres": None, "planned_skins": 0, "place": tub, "note": ""}
    with pytest.raises(Refused, match="Taw tub is no set of frames") as refusal:
        batches.change(**plan, frames=tub)
    assert refusal.value.field == "frames"
    assert batches.change(**plan, frames=None).frames is None
    with pytest.raises(Refused, match="is no set of frames"):
        batch("B2", frames=tub)


def test_a_plan_without_entries_may_be_dropped() -> None:
    skin("H01")
    batches.cancel(batch=batch(tags=["H01"]))
    assert not Batch.objects.exists()
    assert batch("B1", tags=["H01"])


def test_a_batch_with_entries_stays() -> None:
    bath = batch()
    put(bath, salt(), 1)
    with pytest.raises(Refused, match="has entries"):
        batches.cancel(batch=bath)


def test_the_first_entry_puts_batch_and_skins_in_work() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    bath = batch(tags=["H01"])
    work(batch=bath)
    stays_services.join(batch=bath, tags=["H02"], on=day(1))
    bath.refresh_from_db()
    assert (bath.state, stage("H01"), stage("H02")) == ("in_work", "in_work", "in_work")
    clean()


BATH = recipes.Step("Bath", lasts_days=11, every_days=1, repeat="Turn", uses="tub")


def test_a_bath_mixed_after_its_planned_day_counts_its_days_from_the_mixing() -> None:
    skin("H01")
    bath = batch(version=recipe("R1", steps=[BATH]), tags=["H01"])
    put(bath, salt(), 1, on=day(4))
    row = Batch.objects.get()
    assert (row.start, row.stays.get().joined_on) == (day(4), day(4))
    assert borne(row) == {"H01": F(1)}
    put(bath, Material.objects.get(code="SALT"), 1, on=day(6))
    assert Batch.objects.get().start == day(4)


def test_a_start_that_is_known_stays_and_so_does_one_from_which_no_days_are_counted() -> None:
    bath = batch(version=recipe("R1", steps=[BATH]))
    put(bath, salt(), 1, on=day(4), keeps_start=True)
    assert Batch.objects.get(number="B1").start == DAY
    flesh = batch("B2", version=recipe("R2", steps=[recipes.Step("Flesh and salt")]))
    put(flesh, Material.objects.get(code="SALT"), 1, on=day(4))
    assert Batch.objects.get(number="B2").start == DAY


def test_an_entry_by_somebody_with_an_old_page_does_not_wake_a_finished_batch() -> None:
    skin("H01")
    bath = batch(tags=["H01"])
    old = Batch.objects.get()
    work(batch=bath)
    finish("H01", on=day(1))
    work(day(1), batch=old)
    assert Batch.objects.get().state == "done"
    clean()


def test_a_cost_goes_by_head_to_the_skins_there_that_day() -> None:
    for tag in ("H01", "H02", "H03"):
        skin(tag)
    bath, of = batch(tags=["H01", "H02"]), salt()
    put(bath, of, 10, day(0))
    stays_services.join(batch=bath, tags=["H03"], on=day(2))
    put(bath, of, 9, day(2))
    stays_services.leave(batch=bath, skin=Skin.objects.get(tag="H01"), on=day(2))
    put(bath, of, 8, day(3))
    assert borne(bath) == {"H01": F(8), "H02": F(12), "H03": F(7)}
    clean()


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(
    ("share_by", "shares"), [("head", (F(6), F(6))), ("weight", (F(4), F(8))), ("area", (F(9), F(3)))]
)
def test_a_bath_is_shared_as_the_batch_says(share_by: str, shares: tuple[Fraction, Fraction]) -> None:
    skin("H01", green_weight=D(2000), wet_area=D(9000))
    skin("H02", green_weight=D(4000), dry_area=D(3000))
    bath = batch(tags=["H01", "H02"], share_by=share_by)
    put(bath, salt(), 12)
    assert tuple(borne(bath).values()) == shares
    clean()


@pytest.mark.parametrize(("share_by", "said"), [("weight", "Weigh it first"), ("area", "Measure it first")])
def test_a_skin_without_the_measure_does_not_join(share_by: str, said: str) -> None:
    skin("H01")
    with pytest.raises(Refused, match=said):
        batch(tags=["H01"], share_by=share_by)


def test_a_weight_put_right_moves_the_shares_of_finished_pieces_too() -> None:
    skin("H01", green_weight=D(2000))
    other = skin("H02", green_weight=D(2000))
    bath = batch(tags=["H01", "H02"], share_by="weight")
    put(bath, salt(), 12)
    article = finish("H01", on=day(1))[0]
    skins.describe(skin=other, details=skins.Details(species="Sheep", date_in=DAY, price=D(12), green_weight=D(4000)))
    article.refresh_from_db()
    assert (article.book_cost, article.cost.book, article.cost.late_book) == (D(16), D(18), D(-2))
    clean()


def test_costs_named_for_skins_go_to_them_only() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    bath = batch(tags=["H01", "H02"])
    put(bath, salt(), 10, tags=["H02"])
    assert borne(bath) == {"H01": 0, "H02": F(10)}
    clean()


def test_materials_go_straight_on_skins_without_a_batch() -> None:
    first, second = skin("H13"), skin("H14")
    put(None, salt(), 3, tags=["H13", "H14"])
    shares = costs.skin_shares([first, second])
    assert [share.materials for share in shares.values()] == [F("1.5"), F("1.5")]
    assert stage("H13") == "raw"
    clean()


def test_a_use_names_a_batch_or_a_skin() -> None:
    with pytest.raises(Refused, match="Name a batch or at least one skin"):
        put(None, salt(), 1)


def test_a_skin_not_in_the_batch_that_day_cannot_be_named() -> None:
    for tag in ("H01", "H02"):
        skin(tag)
    bath, of = batch(tags=["H01"]), salt()
    with pytest.raises(Refused, match="H02 is not in B1 on"):
        put(bath, of, 1, tags=["H02"])
    stays_services.join(batch=bath, tags=["H02"], on=day(2))
    with pytest.raises(Refused, match="H02 is not in B1 on"):
        put(bath, of, 1, day(1), tags=["H02"])


def test_a_skin_bears_nothing_before_it_came() -> None:
    skin("H01", date_in=day(2))
    with pytest.raises(Refused, match=r"after .* Check the date"):
        put(None, salt(), 1, day(1), tags=["H01"])


def test_what_no_skin_can_bear_yet_waits_in_the_batch() -> None:
    bath = batch()
    put(bath, salt(), 5)
    assert costs.batch_shares([bath])[bath.pk][1].materials == F(5)
    clean()


def test_planned_amounts_stand_beside_what_went_in() -> None:
    alum = material("ALUMK", on_hand=2, value="8.00")
    amount = issues_services.Amount(alum, D("1.5"), "kg", planned=D(1440))
    use = issues_services.issue(batch=batch(), on=DAY, amounts=[amount], tags=[])
    move = use.posting.movements.get()
    assert (PlannedAmount.objects.get(movement=move).quantity, move.quantity, move.typed) == (
        D(1440),
        D(-1500),
        "1.5 kg",
    )


def test_each_amount_keeps_its_own_plan_in_the_order_given() -> None:
    alum, other = material("ALUMK", on_hand=2), material("SALT", on_hand=2)
    amounts = [
        issues_services.Amount(other, D(1), "kg", planned=D(1)),
        issues_services.Amount(alum, D(500), "g"),
        issues_services.Amount(other, D(1), "kg", planned=D(2)),
    ]
    issues_services.issue(batch=batch(), on=DAY, amounts=amounts)
    kept = PlannedAmount.objects.order_by("pk").values_list("movement__material__code", "quantity")
    assert list(kept) == [("SALT", D(1)), ("SALT", D(2))]


def test_short_stock_says_what_bath_the_shelf_allows_and_writes_nothing() -> None:
    alum = material("ALUMK", on_hand="0.56", value="3.67")
    version = recipe("R1", recipes.Line(alum, D(80), "g", "per_litre"), litres_per_skin=D(6))
    bath = batch(version=version, litres=D(24))
    before = Posting.objects.count()
    with pytest.raises(ShortStock) as refusal:
        put(bath, alum, "1.92")
    assert refusal.value.lines == [("Material ALUMK", "1.92 kg", "0.56 kg")]
    assert "or make a smaller bath: the shelf allows 7.0 L, 1 skin" in str(refusal.value)
    assert (Posting.objects.count(), Use.objects.count()) == (before, 0)
    assert Batch.objects.get().state == "planned"


@pytest.mark.parametrize("quantity", ["0", "-1", "NaN"])
def test_an_amount_of_nothing_is_refused_by_name(quantity: str) -> None:
    with pytest.raises(Refused, match="The quantity of Material SALT"):
        put(batch(), salt(), quantity)


def test_nothing_is_put_in_work_on_a_closed_day() -> None:
    bath, of = batch(), salt()
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod):
        put(bath, of, 1)


def test_a_use_taken_back_leaves_the_skins_and_returns_to_the_shelf() -> None:
    skin("H01")
    bath, of = batch(tags=["H01"]), salt()
    use = put(bath, of, 10)
    issues_services.reverse(use=use, reason="wrong tub")
    of.refresh_from_db()
    assert (borne(bath), of.on_hand, of.value) == ({"H01": 0}, D(100000), D(100))
    clean()


def test_a_use_taken_back_later_stood_until_then() -> None:
    one = skin("H01")
    bath = batch(tags=["H01"])
    issues_services.reverse(use=put(bath, salt(), 10), reason="x", on=day(5))
    assert costs.skin_shares([one], day(4))["H01"].materials == F(10)
    assert costs.skin_shares([one], day(5))["H01"].materials == 0
    clean()


def test_a_form_sent_twice_plans_joins_and_uses_once() -> None:
    skin("H01")
    of, version = salt(), recipe("R1")
    first, second = (batch("B1", version=version, request_key="a") for _ in range(2))
    assert first == second
    for _ in range(2):
        stays_services.join(batch=first, tags=["H01"], on=DAY, request_key="b")
    assert put(first, of, 1, request_key="c") == put(first, of, 1, request_key="c")
    one = Skin.objects.get()
    assert [stays_services.leave(batch=first, skin=one, on=DAY, request_key="d").pk for _ in range(2)] == [
        BatchSkin.objects.get().pk
    ] * 2
    assert Movement.objects.filter(kind=Kind.USE).count() == 1
    with pytest.raises(Refused, match="sent before for something else"):
        stays_services.join(batch=first, tags=["H01"], on=DAY, request_key="a")


def test_a_skin_is_in_one_batch_at_a_time() -> None:
    one = skin("H01")
    first, second = batch("B1", tags=["H01"]), batch("B2")
    work(batch=first)
    with pytest.raises(Refused, match=r"H01 is in B1. Take it out there first"):
        stays_services.join(batch=second, tags=["H01"], on=DAY)
    stays_services.leave(batch=first, skin=one, on=day(4))
    with pytest.raises(Refused, match="H01 was in B1 until"):
        stays_services.join(batch=second, tags=["H01"], on=day(3))
    stays_services.join(batch=second, tags=["H01"], on=day(4))
    with pytest.raises(Refused, match="H01 is in B2"):
        stays_services.join(batch=first, tags=["H01"], on=day(5))
    clean()


@pytest.mark.parametrize(
    ("tags", "on", "said"),
    [
        ([], 0, "No skin was chosen"),
        (["H01", "H01"], 0, "named twice"),
        (["H09"], 0, "No skin has the tag H09"),
        (["H01"], -1, "starts on"),
        (["H02"], 0, "came in on"),
    ],
)
def test_a_joining_that_cannot_be_is_refused(tags: list[str], on: int, said: str) -> None:
    skin("H01")
    skin("H02", date_in=day(1))
    with pytest.raises(Refused, match=said):
        stays_services.join(batch=batch(), tags=tags, on=day(on))
    assert not BatchSkin.objects.exists()


def test_finished_and_lost_skins_do_not_join() -> None:
    skin("H01")
    finish("H01")
    with pytest.raises(Refused, match="H01 is finished"):
        batch(tags=["H01"])


def test_a_batch_whose_last_skin_left_is_done_and_wakes_when_another_joins() -> None:
    one = skin("H01")
    skin("H02")
    bath = batch(tags=["H01"])
    work(batch=bath)
    stays_services.leave(batch=bath, skin=one, on=day(1))
    assert Batch.objects.get().state == "done"
    stays_services.join(batch=bath, tags=["H02"], on=day(2))
    assert Batch.objects.get().state == "in_work"
    clean()


def test_a_skin_does_not_leave_before_it_joined_or_before_work_on_it_by_name() -> None:
    one = skin("H01")
    bath = batch(tags=["H01"], start=day(1))
    work(day(3), batch=bath, tags=["H01"])
    with pytest.raises(Refused, match="choose that day or a later one"):
        stays_services.leave(batch=batch_of(bath), skin=skin_free_of_names("H02", bath), on=day(0))
    with pytest.raises(Refused, match="are written on H01 after"):
        stays_services.leave(batch=bath, skin=one, on=day(2))
    stays_services.leave(batch=bath, skin=one, on=day(3))
    with pytest.raises(Refused, match="H01 is not in B1 now"):
        stays_services.leave(batch=bath, skin=one, on=day(3))


def batch_of(bath: Batch) -> Batch:
    return Batch.objects.get(pk=bath.pk)


def skin_free_of_names(tag: str, bath: Batch) -> Skin:
    made = skin(tag)
    stays_services.join(batch=bath, tags=[tag], on=bath.start)
    return made


def test_a_skin_is_crossed_off_a_plan_and_stays_raw() -> None:
    one = skin("H01")
    bath = batch(tags=["H01"], start=day(30))
    stays_services.leave(batch=bath, skin=one, on=day(0))
    assert (BatchSkin.objects.count(), stage("H01")) == (0, "raw")
    stays_services.join(batch=bath, tags=["H01"], on=day(30))
    clean()


def test_a_skin_that_left_bears_late_costs_when_nobody_else_is_there() -> None:
    one = skin("H01")
    bath, of = batch(tags=["H01"]), salt()
    put(bath, of, 4)
    stays_services.leave(batch=bath, skin=one, on=day(1))
    put(bath, of, 2, day(2))
    assert borne(bath) == {"H01": F(6)}
    clean()


def test_amounts_scale_to_the_batch_and_count_what_went_in() -> None:
    alum = material("ALUMK", on_hand=2, value="8.00")
    version = recipe(
        "R1", recipes.Line(alum, D(80), "g", "per_litre"), recipes.Line(alum, D(10), "g", "per_litre", day=3)
    )
    bath = batch(version=version, litres=D(10))
    put(bath, alum, "0.85")
    first, second = read.amounts(stays_selectors.detailed().get())
    assert (first.planned, first.used, first.left, first.short) == (D(800), D(850), 0, 0)
    assert (second.planned, second.used, second.left) == (D(100), D(0), D(100))
    put(bath, alum, "0.05", day(3))
    assert [row.used for row in read.amounts(stays_selectors.detailed().get())] == [D(850), D(50)]


def test_a_line_whose_measure_is_unknown_says_what_to_enter() -> None:
    version = recipe("R1", recipes.Line(material(), D(40), "%", "percent_of_weight"))
    batch(version=version)
    amount = read.amounts(stays_selectors.detailed().get())[0]
    assert amount.planned is None
    assert "enter the weight of the skins" in amount.missing


def test_a_plan_needs_what_is_not_in_yet_on_the_day_of_its_line() -> None:
    alum = material("ALUMK", on_hand=1, value="8.00")
    version = recipe("R1", recipes.Line(alum, D(80), "g", "per_litre", day=9))
    batch("B1", version=version, litres=D(10), start=day(10))
    batch("B2", version=version, litres=D(5), start=day(20))
    needs = restock_selectors.needs(DAY)[alum.pk]
    assert [(need.on, need.quantity, need.why) for need in needs] == [(day(19), D(800), "B1"), (day(29), D(400), "B2")]


def test_a_line_that_went_in_is_no_need_any_more() -> None:
    alum = material("ALUMK", on_hand=2, value="8.00")
    bath = batch(version=recipe("R1", recipes.Line(alum, D(80), "g", "per_litre")), litres=D(10))
    put(bath, alum, "0.7")
    assert alum.pk not in restock_selectors.needs(DAY)


def test_the_next_number_follows_the_highest() -> None:
    assert batches_selectors.next_number() == "B1"
    for number in ("B2", "b10", "X99"):
        batch(number)
    assert batches_selectors.next_number() == "B11"


def test_the_first_entry_and_a_skin_that_joins_at_once_do_not_miss_each_other(shared_database: None) -> None:
    of = salt()
    for round in range(4):
        skin(f"H{round}")
        skin(f"J{round}")
        bath = batch(f"B{round}", tags=[f"H{round}"])
        pages = [Batch.objects.get(pk=bath.pk) for _ in range(3)]
        answers = together(
            lambda: put(pages[0], of, 1),  # noqa: B023 - run at once, within the round
            lambda: stays_services.join(batch=pages[1], tags=[f"J{round}"], on=DAY),  # noqa: B023
            lambda: work(batch=pages[2]),  # noqa: B023
        )
        assert not [answer for answer in answers if isinstance(answer, Exception)]
    assert set(Skin.objects.values_list("stage", flat=True)) == {"in_work"}
    clean()


def test_two_hands_finish_one_skin_once(shared_database: None) -> None:
    skin("H01")
    work(batch=batch(tags=["H01"]))
    answers = together(*(lambda number=number: finish("H01", pieces=[piece(number)]) for number in ("A1", "A2", "A3")))
    assert sorted(type(answer).__name__ for answer in answers) == ["Refused", "Refused", "list"]
    clean()


def test_the_last_skins_finished_at_once_end_the_batch(shared_database: None) -> None:
    for tag in ("H01", "H02", "H03"):
        skin(tag)
    work(batch=batch(tags=["H01", "H02", "H03"]))
    answers = together(*(lambda tag=tag: finish(tag, on=day(1)) for tag in ("H01", "H02", "H03")))
    assert not [answer for answer in answers if isinstance(answer, Exception)]
    assert Batch.objects.get().state == "done"
    clean()


def test_late_costs_written_at_once_are_all_borne(shared_database: None) -> None:
    of = salt()
    for tag in ("H01", "H02"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02"])
    work(batch=bath)
    finish("H01", "H02", on=day(1))
    pages = [Batch.objects.get(pk=bath.pk) for _ in range(2)]
    answers = together(
        lambda: put(pages[0], of, 1, day(1)),
        lambda: work(day(1), batch=pages[1], paid=D(3)),
        lambda: put(None, of, 1, day(2), tags=["H01"]),
        lambda: put(None, of, 1, day(2), tags=["H02"]),
    )
    assert not [answer for answer in answers if isinstance(answer, Exception)]
    assert ArticleCost.objects.get().late_book == D(6)
    clean()
