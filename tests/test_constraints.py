"""The last guard: every named constraint refuses when somebody writes behind the services' back, on every database."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.db.models import CheckConstraint, Model, UniqueConstraint
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from costing.make.additions import services as additions
from costing.make.batches.stays import services as stays
from costing.make.cost.rates import services as rates
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as frames
from costing.make.labour.sessions import services as sessions
from costing.make.losses import services as losses
from costing.make.readings import services as readings
from costing.make.recipes import services as recipes
from costing.make.steps.marks import services as marks
from costing.models import (
    Batch,
    BatchSkin,
    BillPayment,
    CalendarLink,
    Channel,
    CostHeading,
    CostKind,
    Customer,
    Expense,
    Fair,
    FairPiece,
    Frame,
    Job,
    LabourLine,
    Lacing,
    OpeningBalance,
    Payment,
    PhotoArea,
    Rates,
    Reading,
    RecipeLine,
    RecipeStep,
    RecipeVersion,
    Reminder,
    Repair,
    Sale,
    SaleLine,
    Series,
    SessionSkin,
    SideHours,
    SkippedAddition,
    StepMark,
    StruckStay,
    Terms,
    Transfer,
    Use,
    WorkSession,
    WriteOff,
)
from costing.sell.accounts import services as accounts
from costing.sell.bills import services as bills
from costing.sell.debts.reminders import services as reminders
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.expenses import services as expenses
from costing.sell.fairs import services as fairs
from costing.sell.headings import services as headings
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers import services as offers_services
from inventory.articles import services as articles
from inventory.base.accounting import services as workshop
from inventory.base.labels import services as label_sheets
from inventory.base.sheets import services as sheets
from inventory.base.wording import services as wording
from inventory.foresight.snoozes import services as snoozes
from inventory.models import (
    Article,
    ArticleSkin,
    BroughtRow,
    ChainLink,
    CheckedLanguage,
    Closing,
    CostFlowChange,
    Delivery,
    DeliveryLine,
    LabelSheet,
    Lot,
    Material,
    Monthly,
    Move,
    Movement,
    Order,
    OrderLine,
    Phrase,
    Place,
    Posting,
    Regrade,
    SheetHeads,
    Skin,
    Snooze,
    Supplier,
    WaitingSheet,
    Workshop,
)
from inventory.orders import services as orders
from inventory.people.links import services as links
from inventory.people.links.models import Door, SignInLink
from inventory.people.passkeys.models import Passkey
from tests import factories as make
from tests.factories import DAY, batch, delivery, finish, line, material, owner, piece, place, put, recipe, skin, work

pytestmark = pytest.mark.django_db
START = timezone.now() - timedelta(hours=3)  # a tap of long ago would be refused


def a_skin() -> models.Subquery:
    """Read when the row is changed."""
    return models.Subquery(Skin.objects.order_by("pk").values("pk")[:1])


def a_frame() -> models.Subquery:
    """Read when the row is changed."""
    return models.Subquery(Frame.objects.order_by("pk").values("pk")[:1])


# One changed row each: what a slip of a script or of a hand in the database could write.
CHECKS: dict[str, tuple[type[Model], dict[str, Any]]] = {
    "regrade_area_positive": (Regrade, {"area": 0}),
    "material_never_below_nothing": (Material, {"on_hand": -1}),
    "material_value_never_negative": (Material, {"value": Decimal("-0.01")}),
    "material_empty_holds_no_value": (Material, {"on_hand": 0, "value": 1}),
    "material_base_known": (Material, {"base": "stone"}),
    "material_pack_positive": (Material, {"pack_quantity": 0}),
    "material_density_positive": (Material, {"density_g_per_ml": 0}),
    "material_weighed_has_density": (Material, {"weighed_in": "us_cup", "density_g_per_ml": None}),
    "material_sheet_date_has_sheet": (Material, {"sheet": "", "sheet_on": date(2025, 1, 1)}),
    "posting_kind_known": (Posting, {"kind": "lost"}),
    "movement_moves_something": (Movement, {"quantity": 0, "value": 0}),
    "movement_left_not_negative": (Movement, {"quantity_left": -1}),
    "movement_one_direction": (Movement, {"quantity": 1, "value": -1}),
    "lot_never_below_nothing": (Lot, {"quantity": -1}),
    "lot_empty_holds_no_value": (Lot, {"quantity": 0, "value": 1}),
    "material_min_order_positive": (Material, {"min_order": 0}),
    "material_breaks_on_known": (Material, {"breaks_on": "some"}),
    "supplier_carriage_not_negative": (Supplier, {"carriage": -1}),
    "order_due_after_ordered": (Order, {"due_on": DAY - timedelta(days=1)}),
    "order_closed_has_a_reason": (Order, {"closed_on": DAY}),
    "order_closed_after_ordered": (Order, {"closed_on": DAY - timedelta(days=1), "closed_why": "sold out"}),
    "order_line_positive": (OrderLine, {"packs": 0}),
    "snooze_ends_after_it_begins": (Snooze, {"until": DAY}),
    "snooze_has_a_reason": (Snooze, {"reason": ""}),
    "delivery_carriage_not_negative": (Delivery, {"carriage": -1}),
    "delivery_line_positive": (DeliveryLine, {"packs": 0}),
    "skin_price_not_negative": (Skin, {"price": -1}),
    "skin_of_customer_has_no_price": (Skin, {"owner": "customer"}),
    "skin_owner_known": (Skin, {"owner": "nobody", "price": 0}),
    "skin_weight_positive": (Skin, {"green_weight": 0}),
    "skin_dry_weight_positive": (Skin, {"dry_weight": 0}),
    "skin_area_positive": (Skin, {"dry_area": 0}),
    "skin_lost_has_a_date": (Skin, {"stage": "lost"}),
    "skin_minutes_before_are_of_an_opening": (Skin, {"minutes_before": 1}),
    "passkey_named": (Passkey, {"name": ""}),
    "phrase_language_known": (Phrase, {"language": "xx"}),
    "phrase_says_something": (Phrase, {"text": ""}),
    "checked_language_is_a_translation": (CheckedLanguage, {"language": "en"}),
    "customer_language_known": (Customer, {"language": "xx"}),
    "sheet_heads_named": (SheetHeads, {"heads": ""}),
    "label_sheet_named": (LabelSheet, {"name": ""}),
    "label_sheet_has_labels": (LabelSheet, {"rows": 0}),
    "label_has_a_size": (LabelSheet, {"width": 0}),
    "label_sheet_margins_not_negative": (LabelSheet, {"gap_x": -1}),
    "brought_row_named": (BroughtRow, {"row": ""}),
    "waiting_sheet_has_a_key": (WaitingSheet, {"key": ""}),
    "article_cost_not_negative": (Article, {"book_cost": -1}),
    "article_area_positive": (Article, {"area": 0}),
    "article_price_positive": (Article, {"list_price": 0}),
    "article_hair_known": (Article, {"hair": "red"}),
    "article_use_known": (Article, {"use": "eaten"}),
    "article_fur_has_hair": (Article, {"hair": "off", "fur_origin": True}),
    "article_share_within_one": (ArticleSkin, {"share_of": 2, "share_in": 1}),
    "workshop_is_one": (Workshop, {"id": 2}),
    "workshop_cost_flow_known": (Workshop, {"cost_flow": "lifo"}),
    "workshop_bath_unit_known": (Workshop, {"bath_unit": "bucket"}),
    "workshop_degrees_known": (Workshop, {"degrees": "K"}),
    "cost_flow_change_known": (CostFlowChange, {"cost_flow": "lifo"}),
    "cost_flow_change_is_one": (CostFlowChange, {"cost_flow": "average"}),
    "closing_opened_for_a_reason": (Closing, {"to": None}),
    "workshop_units_known": (Workshop, {"units": "ells"}),
    "workshop_paper_language_known": (Workshop, {"paper_language": "xx"}),
    "workshop_paper_known": (Workshop, {"paper": "a5"}),
    "workshop_reference_known": (Workshop, {"reference": "knot"}),
    "workshop_bic_is_of_an_account": (Workshop, {"bic": "BHBLDEHHXXX"}),
    "recipe_version_from_one": (RecipeVersion, {"number": 0}),
    "recipe_line_positive": (RecipeLine, {"amount": 0}),
    "recipe_line_basis_known": (RecipeLine, {"basis": "per_moon"}),
    "batch_litres_positive": (Batch, {"litres": 0}),
    "batch_state_known": (Batch, {"state": "asleep"}),
    "use_share_by_known": (Use, {"share_by": "age"}),
    "stay_ends_after_it_began": (BatchSkin, {"left_on": date(2000, 1, 1)}),
    "channel_fee_below_hundred": (Channel, {"fee_percent": 100}),
    "channel_fixed_cost_not_negative": (Channel, {"fixed_cost": -1}),
    "channel_fixed_fee_not_negative": (Channel, {"fee_fixed": -1}),
    "channel_relief_is_a_resellers": (Channel, {"relief": "Sale for resale"}),
    "use_of_one_thing": (Use, {"frame": a_frame()}),
    "frame_laced_once_at_least": (Frame, {"lacings": 0}),
    "frame_cost_not_negative": (Frame, {"cost": -1}),
    "frame_breaks_after_it_was_made": (Frame, {"broken_on": date(2000, 1, 1)}),
    "repair_adds_unless_reversed": (Repair, {"cost": -1}),
    "labour_positive_unless_taken_back": (LabourLine, {"minutes": -1}),
    "labour_kind_known": (LabourLine, {"kind": "tan"}),
    "recipe_step_kind_known": (RecipeStep, {"kind": "tan"}),
    "sitting_kind_known": (WorkSession, {"kind": "tan"}),
    "rates_not_negative": (Rates, {"wage_per_hour": -1}),
    "place_litres_positive": (Place, {"litres": 0}),
    "place_holds_something": (Place, {"holds": 0}),
    "recipe_step_uses_known": (RecipeStep, {"uses": "box"}),
    "recipe_step_repeat_whole": (RecipeStep, {"repeat": ""}),
    "stay_struck_after_it_began": (StruckStay, {"on": DAY - timedelta(days=1)}),
    "stay_struck_with_a_reason": (StruckStay, {"reason": ""}),
    "addition_skipped_with_a_reason": (SkippedAddition, {"reason": ""}),
    "step_mark_kind_known": (StepMark, {"kind": "lost"}),
    "sitting_stops_after_it_starts": (WorkSession, {"stopped_at": START - timedelta(days=1)}),
    "sitting_stopped_has_minutes": (WorkSession, {"labour": None}),
    "reading_of_a_batch_or_skin": (Reading, {"batch": None}),
    "reading_says_something": (Reading, {"ph": None}),
    "reading_ph_in_range": (Reading, {"ph": Decimal("14.1")}),
    "reading_weight_positive": (Reading, {"weight": 0}),
    "photo_area_is_one": (PhotoArea, {"usable": Decimal("70.01")}),
    "photo_area_has_a_scale": (PhotoArea, {"apart": Decimal(500)}),
    "photo_area_has_its_photo": (PhotoArea, {"photo": ""}),
    "skin_spreads_only_a_loss": (Skin, {"loss_spread": True}),
    "article_gone_has_a_reason": (Article, {"gone_on": DAY}),
    "move_of_one_thing": (Move, {"article": None}),
    "move_why_known": (Move, {"why": "lost"}),
    "move_only_an_article_leaves": (Move, {"why": "sold", "article": None, "skin": a_skin()}),
    "terms_are_one": (Terms, {"id": 2}),
    "terms_believable": (Terms, {"deposit_percent": 101}),
    "terms_interest_believable": (Terms, {"late_interest_percent": 101}),
    "write_off_positive_unless_reversed": (WriteOff, {"amount": -1}),
    "write_off_has_a_reason": (WriteOff, {"reason": ""}),
    "reminder_tone_known": (Reminder, {"tone": "rude"}),
    "reminder_of_something_owed": (Reminder, {"amount": 0}),
    "job_price_believable": (Job, {"deposit": 9999}),
    "job_handed_over_after_taken": (Job, {"handed_over_on": date(2000, 1, 1)}),
    "job_given_up_after_taken": (Job, {"given_up_on": date(2000, 1, 1), "given_up_why": "changed their mind"}),
    "job_given_up_has_a_reason": (Job, {"given_back": True}),
    "fair_minutes_not_negative": (Fair, {"stall_minutes": -1}),
    "series_begins_at_one_or_later": (Series, {"first": 0}),
    "series_known": (Series, {"kind": "quote"}),
    "sale_sign_fits_its_kind": (Sale, {"gross": -1}),
    "sale_untaxed_has_no_tax": (Sale, {"tax": 1}),
    "sale_settled_from_its_day_on": (Sale, {"settled_on": DAY - timedelta(days=1)}),
    "sale_line_names_its_thing": (SaleLine, {"article": None}),
    "sale_line_not_negative": (SaleLine, {"asked": -1}),
    "sale_line_credit_names_its_line": (SaleLine, {"quantity": -1}),
    "payment_of_something": (Payment, {"amount": 0}),
    "payment_for_one_thing": (Payment, {"sale": None}),
    "payment_opening_is_a_deposit": (Payment, {"opening": True}),
    "payment_how_known": (Payment, {"how": "gold"}),
    "expense_positive_unless_taken_back": (Expense, {"amount": -1}),
    "expense_kind_named": (Expense, {"kind": ""}),
    "expense_paid_due_or_withheld": (Expense, {"how": "cash", "due_on": DAY}),
    "expense_distance_at_a_rate": (Expense, {"rate": 1}),
    "expense_life_positive": (Expense, {"life_years": 0}),
    "cost_kind_place_known": (CostKind, {"place": "moon"}),
    "cost_kind_rate_positive": (CostKind, {"rate": 0}),
    "bill_payment_positive_unless_reversed": (BillPayment, {"amount": -1}),
    "bill_payment_for_one_bill": (BillPayment, {"delivery": None}),
    "bill_payment_how_known": (BillPayment, {"how": "gold"}),
    "delivery_paid_or_due": (Delivery, {"how": "cash", "due_on": DAY}),
    "opening_account_known": (OpeningBalance, {"account": "sock"}),
    "transfer_positive_unless_reversed": (Transfer, {"amount": -1}),
    "transfer_between_two": (Transfer, {"source": "bank", "target": "bank"}),
    "expense_withheld_from_a_sale": (Expense, {"withheld": True}),
    "delivery_tax_has_a_rate": (Delivery, {"tax": 1}),
    "delivery_original_sum_has_a_currency": (Delivery, {"original_sum": 10}),
    "delivery_line_tax_has_a_rate": (DeliveryLine, {"tax": 1}),
    "skin_tax_has_a_rate": (Skin, {"tax": 1}),
    "skin_original_sum_has_a_currency": (Skin, {"original_currency": "USD"}),
    "skin_of_customer_has_no_tax": (Skin, {"owner": "customer", "price": 0, "tax": 1, "tax_percent": 10}),
    "expense_tax_has_a_rate": (Expense, {"tax": 1}),
    "expense_original_sum_has_a_currency": (Expense, {"original_sum": 0, "original_currency": "USD"}),
    "payment_tax_of_a_deposit": (Payment, {"tax_percent": 10}),
    "sale_tax_rounding_known": (Sale, {"tax_way": "up"}),
    "terms_tax_rounding_allowed": (Terms, {"tax_way": "down"}),
    "side_hours_positive_unless_taken_back": (SideHours, {"minutes": -1}),
}


def second(row: Model, **changed: Any) -> None:
    """The same row once more."""
    row.pk = None
    row._state.adding = True
    for name, value in changed.items():
        setattr(row, name, value)
    row.save(force_insert=True)


TWICE: dict[str, tuple[Callable[[], None], tuple[str, ...]]] = {
    "article_names_a_skin_once": (lambda: second(ArticleSkin.objects.all()[0]), ("article_id", "skin_id")),
    "recipe_version_number_once": (lambda: second(RecipeVersion.objects.all()[0]), ("recipe_id", "number")),
    "recipe_line_position_once": (lambda: second(RecipeLine.objects.all()[0]), ("version_id", "position")),
    "batch_holds_a_skin_once": (
        lambda: second(BatchSkin.objects.all()[0], left_on=DAY + timedelta(days=1)),
        ("batch_id", "skin_id"),
    ),
    "skin_in_one_batch_at_a_time": (
        lambda: second(BatchSkin.objects.filter(left_on=None)[0], batch=batch("B2")),
        ("skin_id",),
    ),
    "chain_links_a_row_once": (lambda: second(ChainLink.objects.all()[0], position=0), ("kind", "row")),
    "monthly_once_a_month": (lambda: second(Monthly.objects.all()[0]), ("material_id", "month")),
    "channel_one_usual": (lambda: second(Channel.objects.all()[0], name="Other"), ("usual",)),
    "recipe_step_position_once": (
        lambda: second(RecipeStep.objects.all()[0], name="again"),
        ("version_id", "position"),
    ),
    "recipe_step_name_once": (lambda: second(RecipeStep.objects.all()[0], position=9), ("version_id", "name")),
    "step_ends_once": (lambda: second(StepMark.objects.get(kind="done"), kind="skipped"), ("batch_id", "step_id")),
    "addition_skipped_once": (lambda: second(SkippedAddition.objects.get(), reason="again"), ("batch_id", "line_id")),
    "lacing_once_a_skin": (
        lambda: second(Lacing.objects.get(), frame=frames.build(number="F2", on=DAY)),
        ("line_id", "skin_id"),
    ),
    "lacing_once_a_frame": (lambda: second(Lacing.objects.get(), skin=skin("H08")), ("line_id", "frame_id")),
    "person_has_one_timer": (lambda: second(running(), key="another"), ("who_id",)),
    "skin_has_one_timer": (
        lambda: second(running().at_hand.get(), session=WorkSession.objects.get(key="dropped")),
        ("skin_id",),
    ),
    "sitting_names_a_skin_once": (
        lambda: second(SessionSkin.objects.get(session__key="first")),
        ("session_id", "skin_id"),
    ),
    "fair_once_a_day": (lambda: second(Fair.objects.all()[0]), ("name", "on")),
    "fair_packs_a_piece_once": (lambda: second(FairPiece.objects.all()[0]), ("fair_id", "article_id")),
    "sale_number_used_once": (lambda: second(Sale.objects.all()[0], number="other"), ("kind", "sequence")),
    "sale_line_position_once": (
        lambda: second(SaleLine.objects.get(kind="other"), standing=False),
        ("sale_id", "position"),
    ),
    "article_sold_once": (lambda: second(stands("article"), position=9), ("article_id",)),
    "job_billed_once": (lambda: second(stands("work"), position=9), ("job_id",)),
    "cost_heading_one_for_stock": (lambda: second(CostHeading.objects.get(stock=True), words="Twice"), ("stock",)),
    "phrase_said_once": (lambda: second(Phrase.objects.get()), ("language", "key")),
    "skin_scrapped_once": (lambda: second(stands("scrap"), position=9), ("skin_id",)),
}


def stands(kind: str) -> SaleLine:
    return SaleLine.objects.get(kind=kind, standing=True)


def running() -> WorkSession:
    return WorkSession.objects.get(stopped_at=None, dropped_at=None)


@pytest.fixture(scope="module")
def standing(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """A row of every kind, in one outer transaction: each test slips in a savepoint of its own."""
    with django_db_blocker.unblock(), transaction.atomic():
        stock_and_skins()
        shed()
        sold()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def rows(standing: None, db: None) -> None:
    """A row of every kind, free to be spoiled."""


def stock_and_skins() -> None:
    workshop.set_up(name="Here")
    workshop.pin_today(on=DAY + timedelta(days=9))
    rates.set_rates(wage_per_hour=Decimal(16))
    channels.save(name="Fair", fee_percent=Decimal(2), fixed_cost=Decimal(0), usual=True)
    salt = material("SALT")
    snoozes.snooze(material=salt, until=DAY + timedelta(days=9), reason="later", on=DAY)
    order = orders.place(supplier=make.supplier(), on=DAY, lines=[orders.Line(salt, Decimal(1), Decimal(2), "kg")])
    delivery(line(salt), order=order)
    skin("H01")
    skin("H02")
    never = skin("H04")
    bath = batch("B1", version=recipe("R1"), tags=["H01", "H02", "H04"], litres=Decimal(12))
    put(bath, salt, 1)
    stays.strike(batch=bath, skin=never, on=DAY, reason="wrong tag")
    additions.skip(batch=bath, line=bath.version.lines.get(), reason="none left")
    work(batch=bath)
    frame = frames.build(number="F1", on=DAY, lacings=12)
    frames.repair(frame=frame, on=DAY, what="a rail")
    lacings.name(line=work(task="lace", tags=["H01"]), on_frames={"H01": "F1"})
    made = finish("H01", pieces=[piece("A1", area=Decimal(100), list_price=Decimal(90))])[0]
    articles.regrade(article=made, grade="B", area=Decimal(90), on=DAY)


def shed() -> None:
    """A step done, a timer stopped, one dropped and one that runs, a reading, a private calendar link."""
    place("Tub", Place.Kind.TUB)
    steps = [recipes.Step("alum bath", lasts_days=7, every_days=1, repeat="turn", uses="tub")]
    skin("H03")
    tub = batch("B3", version=recipe("R3", steps=steps), tags=["H03"])
    marks.log(batch=tub, step=tub.version.steps.get(), kind="done", on=DAY)
    sessions.start(tags=["H03"], at=START, by=owner(), request_key="first")
    sessions.stop(key="first", at=START + timedelta(minutes=20), by=owner())
    sessions.start(tags=["H02"], at=START + timedelta(hours=1), by=owner(), request_key="dropped")
    sessions.drop(key="dropped", by=owner())
    sessions.start(tags=["H03"], at=START + timedelta(hours=1), by=owner(), request_key="second")
    readings.note(batch=tub, at=START, ph=Decimal("3.6"))
    PhotoArea.objects.create(
        **dict.fromkeys(("area", "usable", "perimeter", "length", "width"), 70),
        **{"skin": tub.stays.get().skin, "on": DAY, "plus_minus": 1, "frame_width": 900, "frame_height": 700},
        **{"photo": "0" * 32 + ".jpg", "taps": {}},
    )
    CalendarLink.objects.create(person=owner(), name="Phone", digest="d")
    links.make(person=owner(), door=Door.LINK)
    Passkey.objects.create(person=owner(), name="Phone", site="localhost", credential="c", public_key="k", handle="h")


def sold() -> None:
    """A piece packed, sold, paid and credited in part, work billed, a spoiled skin sold, and what all that cost."""
    fair, rug = fairs.plan(name="Fair", on=DAY), make.article("A2")
    fairs.pack(fair=fair, articles=[rug], on=DAY)
    make.sale(rug, fair=fair, paid=[Paid()])
    wax = offers_services.Item("other", Decimal(5), words="wax")
    bill = make.sale(make.job("J-01"), wax, customer=make.customer())
    credits.credit(sale=bill, on=DAY, reason="wrong", amounts={bill.lines.get(kind="other").pk: Decimal(1)})
    SaleLine.objects.filter(sale__credits=bill).update(kind="postage")  # so that one line alone is of kind other
    losses.lose(skin=skin("H09"), on=DAY, reason="slipped")
    make.sale(Skin.objects.get(tag="H09"), asked=3)
    expenses.spend(kind="pitch", amount=Decimal(35), on=DAY, fair=fair)
    expenses.spend_hours(kind="papers", minutes=Decimal(60), on=DAY)
    Terms.objects.create(pk=1)
    workshop.bring_closing(at=START, who="", was=date(2023, 12, 31), to=date(2024, 12, 31), reason="")
    workshop.set_up(cost_flow="fifo")
    headings.begin()
    accounts.open_account(account="cash", on=DAY, amount=Decimal(5))
    accounts.move(amount=Decimal(1), on=DAY, source="cash", target="bank")
    tools = delivery(line(material("TOOL")), due_on=DAY)
    bills.pay(amount=Decimal(1), on=DAY, delivery=tools)
    late = make.sale(offers_services.Item("tip", Decimal(5)), customer=make.customer("Late Payer"))
    reminders.remind(sale=late, on=DAY + timedelta(days=30), tone="firm")
    write_offs.write_off(sale=late, amount=Decimal(5), on=DAY + timedelta(days=60), reason="gone")
    wording.write(language="fi", key="kit.page", text="{number}")
    wording.tick(language="fi")
    equal = Decimal(40)
    label_sheets.create(name="Small", paper="a4", columns=2, rows=2, width=equal, height=equal)
    sheets.remember(heads="h", answers={})
    sheets.mark(rows=["r"], on=DAY)
    sheets.wait(name="a.csv", content=b"x")


def named() -> dict[str, models.BaseConstraint]:
    every = (model for app in ("inventory", "costing") for model in apps.get_app_config(app).get_models())
    return {constraint.name: constraint for model in every for constraint in model._meta.constraints}


def test_every_named_constraint_is_tried_here() -> None:
    kinds = {name: type(constraint) for name, constraint in named().items()}
    assert {name for name, kind in kinds.items() if kind is CheckConstraint} == set(CHECKS)
    assert {name for name, kind in kinds.items() if kind is UniqueConstraint} == set(TWICE)


@pytest.mark.parametrize("name", CHECKS)
def test_a_row_that_cannot_be_is_refused_by_the_database(rows: None, name: str) -> None:
    model, changed = CHECKS[name]
    pk = model._default_manager.order_by("pk").values_list("pk", flat=True)[0]
    with pytest.raises(IntegrityError, match=name), transaction.atomic():
        model._default_manager.filter(pk=pk).update(**changed)


@pytest.mark.parametrize("name", TWICE)
def test_a_row_that_must_stand_alone_is_refused_by_the_database(rows: None, name: str) -> None:
    repeat, columns = TWICE[name]
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        repeat()
    said = str(refusal.value)
    if connection.vendor == "sqlite":  # names the columns instead of the constraint
        assert said.startswith("UNIQUE constraint failed")
        assert all(column in said for column in columns)
    else:
        assert name in said


@pytest.mark.parametrize(
    ("model", "field"),
    [
        (Material, "code"),
        (Skin, "tag"),
        (Article, "number"),
        (Batch, "number"),
        (CalendarLink, "digest"),
        (SignInLink, "digest"),
        (Passkey, "credential"),
        (Order, "number"),
        (Series, "kind"),
    ],
)
def test_a_code_stands_for_one_thing(rows: None, model: type[Model], field: str) -> None:
    with pytest.raises(IntegrityError, match=field), transaction.atomic():
        second(model._default_manager.order_by("pk")[0])


@pytest.mark.parametrize(
    ("model", "changed", "field"),
    [
        (Sale, {"sequence": 999}, "number"),
        (Payment, {"sequence": 999}, "number"),
        (Payment, {"number": "R-999"}, "sequence"),
        (Job, {"number": "J-999"}, "skin"),
    ],
)
def test_a_number_stands_on_one_paper(rows: None, model: type[Model], changed: dict[str, Any], field: str) -> None:
    with pytest.raises(IntegrityError, match=field), transaction.atomic():
        second(model._default_manager.order_by("pk")[0], **changed)


def test_a_session_is_known_by_its_key_alone(rows: None) -> None:
    with pytest.raises(IntegrityError, match="key"), transaction.atomic():
        second(WorkSession.objects.get(key="first"), stopped_at=None, labour=None, dropped_at=START)


@pytest.mark.parametrize(
    "model",
    [Posting, Movement, Material, Skin, Lot, Delivery, Order, Supplier, Batch, RecipeVersion, Article, Sale, Job],
)
def test_what_others_stand_on_is_not_deleted(rows: None, model: type[Model]) -> None:
    with pytest.raises(models.ProtectedError):
        model._default_manager.filter(pk=model._default_manager.order_by("pk")[0].pk).delete()
