"""The upper floor's audit must be able to fail: each test breaks one record behind the services' back and reads its name."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from pytest_django import DjangoDbBlocker

from costing.make.frames import rules, selectors as frames_read
from costing.make.frames.lacings import services as lacings
from costing.make.frames.making import services as making
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import ArticleCost, Batch, BatchSkin, Frame, LabourLine, Lacing, SkinCost, Use
from costing.report.audit import selectors as audit
from inventory.models import Article, ArticleSkin, Material, Movement, Skin
from tests.factories import DAY, batch, finish, material, piece, put, recipe, skin, work

pytestmark = pytest.mark.django_db
D = Decimal
LATER, EVE = DAY + timedelta(days=1), DAY - timedelta(days=1)


@pytest.fixture(scope="module")
def standing(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The books in one outer transaction: each test breaks them in a savepoint of its own. Others use other names."""
    with django_db_blocker.unblock(), transaction.atomic():
        write_books()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def books(standing: None, db: None) -> None:
    """Clean books, free to be broken."""


def write_books() -> None:
    """One skin finished with a late cost, one half finished, one in work, one lost, one raw; work taken back."""
    salt = material("SALT", on_hand=10, value="10.00")
    for tag in ("H01", "H02", "H03", "H04", "H05"):
        skin(tag, price="12.00")
    bath = batch("B1", tags=["H01", "H02", "H03", "H04"])
    put(bath, salt, 1)
    work(batch=bath, paid=D("8.00"))
    labour.reverse(line=work(batch=bath, paid=D("5.00")))
    making.build(number="F1", on=DAY, lacings=3, cost=D("10.00"))
    lacings.name(line=work(task="lace", minutes=5, tags=["H03"]), on_frames={"H03": "F1"})
    losses.lose(skin=Skin.objects.get(tag="H04"), on=DAY, reason="slip")
    finish("H01", on=LATER)
    put(None, salt, 1, LATER, tags=["H01"])
    finish("H02", on=LATER, pieces=[piece("P1", "1/2")])
    batch("B2", start=LATER)
    assert audit.findings() == []


def change(model: type[Any], where: dict[str, Any], **to: Any) -> Callable[[], object]:
    return lambda: model.objects.filter(**where).update(**to)


BREAKS: dict[str, tuple[Callable[[], object], str]] = {
    "frozen book": (change(ArticleCost, {"article__number": "A-H01"}, book=D("1.00")), "Article A-H01 stands at"),
    "late book": (change(ArticleCost, {"article__number": "A-H01"}, late_book=D(0)), "Article A-H01 stands at"),
    "standing book": (change(Article, {"number": "A-H01"}, book_cost=D("1.00")), "Article A-H01 stands at 1.000"),
    "frozen full": (change(ArticleCost, {"article__number": "P1"}, full=D("1.00")), "Article P1 has a full cost of"),
    "late full": (change(ArticleCost, {"article__number": "P1"}, late_full=D("1.00")), "Article P1 has a full cost of"),
    "frozen rate": (
        change(ArticleCost, {"article__number": "A-H01"}, overhead_per_hour=D(9)),
        "Article A-H01 has a full cost of",
    ),
    "share": (change(ArticleSkin, {"article__number": "P1"}, share_in=1, share_of=1), "Article P1 stands at"),
    "stage of a finished skin": (
        change(Skin, {"tag": "H01"}, stage="in_work"),
        "Skin H01 is marked in_work; what happened to it says finished.",
    ),
    "stage of a skin in work": (
        change(Skin, {"tag": "H03"}, stage="raw"),
        "Skin H03 is marked raw; what happened to it says in_work.",
    ),
    "lost skin in a batch": (
        change(BatchSkin, {"skin__tag": "H04"}, left_on=None),
        "Skin H04 is lost and still stands in a batch.",
    ),
    "state of a batch in work": (
        change(Batch, {"number": "B1"}, state="done"),
        "Batch B1 is marked done; its entries say in_work.",
    ),
    "state of a plan": (
        change(Batch, {"number": "B2"}, state="in_work"),
        "Batch B2 is marked in_work; its entries say planned.",
    ),
    "labour taken back by another sum": (
        change(LabourLine, {"reverses__isnull": False}, paid=D("-4.00")),
        "does not reverse exactly what line",
    ),
    "labour pay": (change(LabourLine, {"paid": D(8)}, paid=D("9.00")), "its skins' lines say"),
    "a movement's value": (change(Movement, {"kind": "use", "on": DAY}, value=D("-2.00")), "is worth -2.000"),
    "a balance": (change(Material, {"code": "SALT"}, value=D("1.00")), "SALT: the shelf is worth 1.000"),
    "a frame broken before it was laced": (
        change(Frame, {"number": "F1"}, made_on=EVE, broken_on=EVE),
        f"Frame F1: H03 was laced to it on {DAY}, when it could not be.",
    ),
    "a frame on work that laced nothing": (
        change(LabourLine, {"kind": "lace"}, laced=False),
        f"Frame F1: H03 was laced to it on {DAY}, when it could not be.",
    ),
    "a frame on another's work": (
        lambda: Lacing.objects.update(skin=Skin.objects.get(tag="H05")),
        f"Frame F1: H05 was laced to it on {DAY} by work that was not on that skin.",
    ),
    "a kept cost": (
        change(SkinCost, {"skin__tag": "H01"}, exact="12;0;0;0;0;0;0;0"),
        "Skin H01: its cost is kept as 12;0;0;0;0;0;0;0; its entries say 12;",
    ),
    "a kept book cost": (change(SkinCost, {"skin__tag": "H04"}, book=D(0)), "Skin H04: its book cost is kept as 0.000"),
    "kept minutes": (
        change(SkinCost, {"skin__tag": "H01"}, own_minutes=D(1)),
        "Skin H01: its own minutes is kept as 1.0",
    ),
    "kept steps": (change(SkinCost, {"skin__tag": "H01"}, entered="Bath"), "Skin H01: its steps is kept as Bath"),
    "the last day of a skin": (
        change(SkinCost, {"skin__tag": "H01"}, settled_on=EVE),
        f"Skin H01: its last day is kept as {EVE}; its entries say {LATER}.",
    ),
    "the last day of a piece": (
        change(ArticleCost, {"article__number": "A-H01"}, settled_on=DAY),
        f"Article A-H01 is settled from {DAY}; the entries of its skins say {LATER}.",
    ),
    "a piece of a skin in work": (
        change(ArticleCost, {"article__number": "P1"}, settled_on=DAY),
        f"Article P1 is settled from {DAY}; the entries of its skins say None.",
    ),
    "no cost kept": (
        lambda: SkinCost.objects.get(skin__tag="H01").delete(),
        "Skin H01 is finished, and its cost is not kept.",
    ),
    "a cost kept of a skin in work": (
        lambda: SkinCost.objects.filter(skin__tag="H04").update(skin=Skin.objects.get(tag="H03")),
        "Skin H03 is in_work, and a cost is kept as if it had ended.",
    ),
    "a skin's price": (change(Skin, {"tag": "H01"}, price=D(13)), "Article A-H01 stands at"),
}


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("name", BREAKS)
def test_a_broken_record_is_named(books: None, name: str) -> None:
    breaking, said = BREAKS[name]
    breaking()
    found = audit.findings()
    assert any(said in finding for finding in found), found


def test_articles_that_bear_more_than_the_whole_skin_are_named(books: None) -> None:
    article = Article.objects.get(number="A-H01")
    ArticleSkin.objects.create(article=article, skin=Skin.objects.get(tag="H02"), share_of=2, share_in=3)
    assert any("Skin H02: its articles take 7/6 of it" in finding for finding in audit.findings())


def test_value_that_left_the_shelf_and_reached_no_skin_is_named(books: None) -> None:
    Use.objects.filter(batch__isnull=True).get().delete()
    assert any(finding.startswith("Put into skins: ") for finding in audit.findings())


def test_a_step_that_took_no_minutes_begins_a_batch() -> None:
    version = recipe("R8", steps=[Step("Bath")])
    marks.log(batch=batch("B8", version=version, tags=[skin("H08").tag]), step=version.steps.get(), kind="done", on=DAY)
    assert audit.findings() == []


def test_many_small_pieces_of_one_skin_are_no_rounding_fault() -> None:
    skin("K01", price="1.00")
    for number in range(8):
        finish("K01", pieces=[piece(f"K{number}", "1/9")])
    assert audit.findings() == []


@pytest.mark.thorough
@pytest.mark.slow
def test_the_audit_takes_as_many_queries_for_thirty_articles_as_for_one() -> None:
    lime = material("LIME", on_hand=1000, value=1000)

    def fill(number: int) -> None:
        skin(f"K{number}")
        put(batch(f"T{number}", tags=[f"K{number}"]), lime, 1)
        finish(f"K{number}")

    fill(0)
    with CaptureQueriesContext(connection) as one:
        audit.findings()
    for number in range(1, 31):
        fill(number)
    with CaptureQueriesContext(connection) as many:
        assert audit.findings() == []
    assert len(many) == len(one)


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(
    ("said", "finding"),
    [
        (lambda found: replace(found, wears={key: D("3.34") for key in found.wears}), "a lacing wore off 334 coins"),
        (lambda found: replace(found, left=found.left + 1), "Frame F1 cost 10.00; 3.33 worn off and 7.67 left"),
    ],
)
def test_a_split_that_lost_a_coin_would_be_found(
    books: None, monkeypatch: pytest.MonkeyPatch, said: Callable[[rules.Worn], rules.Worn], finding: str
) -> None:
    plain = rules.worn
    monkeypatch.setattr(frames_read.rules, "worn", lambda *given: said(plain(*given)))
    assert any(finding in found for found in audit.findings())
