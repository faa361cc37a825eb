"""Pages of articles: the list, one with its cost and prices, finishing skins, the list price."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.cost.rates import services as rates
from costing.models import ArticleCost
from costing.sell.pricing.channels import services as channels
from inventory.base.accounting import services as workshop
from inventory.models import Article, Skin
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import lines, queries, signed_in, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))
    rates.set_rates(wage_per_hour=Decimal(16), overhead_per_hour=Decimal(4), frame_wear=Decimal("1.52"))


def ram_rug(**details: Any) -> Article:
    """The demo year's H03: 12.00 + 8.23 of materials, 9.25 h, one lacing, 101 dm²: book 20.23, full 206.75."""
    factories.skin("H03", price=12)
    factories.put(None, factories.material("SALT", on_hand=1, value="8.23"), 1, tags=["H03"])
    factories.work(DAY, 450, tags=["H03"])
    factories.work(DAY, 105, task="lace", tags=["H03"])
    piece = factories.piece("H03", area=Decimal(10100), list_price=Decimal(185), **details)
    return factories.finish("H03", pieces=[piece])[0]


def card() -> None:
    channels.save(name="Fair, card", fee_percent=Decimal("1.9"), fixed_cost=Decimal(0), usual=True)
    channels.save(name="Gallery", fee_percent=Decimal(35), fixed_cost=Decimal(0))


def finish_form(*pieces: dict[str, Any], **more: Any) -> dict[str, Any]:
    head = {"on": "2025-03-20", "method": "bark", "request_key": "k1"}
    return head | lines(*({"area_unit": "dm2", **piece} for piece in pieces)) | more


def test_pages_open_for_the_owner(client: Client) -> None:
    ram_rug()
    addresses = [reverse("articles"), reverse("article_finish"), reverse("article_finish") + "?skin=H03"]
    addresses += [reverse("article", args=["H03"]), reverse("article_price", args=["H03"])]
    for address in addresses:
        assert client.get(address).status_code == 200
    assert client.get(reverse("article_finish") + "?skin=H99").status_code == 404


def test_no_article_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("articles")))
    assert "No article yet" in page
    assert reverse("article_finish") in page


def test_an_article_shows_both_costs_with_parts_and_per_area(client: Client) -> None:
    ram_rug()
    page = text(client.get(reverse("article", args=["H03"])))
    for figure in ("20.23 €", "206.75 €", "1.86 € a sq ft", "19.02 € a sq ft", "2.05 € a dm²", "9.25"):
        assert figure in page
    assert "9.25 h at 16.00 an hour" in page
    assert "1 lacing at 1.52" in page
    assert reverse("label_care", args=["H03"]) in page
    assert reverse("label_ticket", args=["H03"]) in page
    assert reverse("skin", args=["H03"]) in page


def test_floors_and_hourly_earning_are_those_of_the_demo_year(client: Client) -> None:
    card()
    ram_rug()
    page = text(client.get(reverse("article", args=["H03"])))
    for figure in ("20.63 €", "171.49 €", "210.76 €", "17.43 €"):
        assert figure in page
    assert "318.08" in page  # the gallery's, under "Other channels"


def test_the_channel_is_chosen_by_address(client: Client) -> None:
    card()
    ram_rug()
    page = text(client.get(reverse("article", args=["H03"]), {"channel": "Gallery"}))
    assert "318.08 €" in page
    assert '<option value="Gallery" selected' in page


@pytest.mark.thorough
def test_without_a_channel_nothing_is_kept_of_the_price(client: Client) -> None:
    ram_rug()
    assert "206.75 €" in text(client.get(reverse("article", args=["H03"])))


@pytest.mark.thorough
def test_an_hours_pay_is_turned_into_a_price_on_the_step(client: Client) -> None:
    """Book 20.23 + 9.25 h × 20 = 205.23; ÷ 0.981 = 209.21 rounded up; the next 5 is 210.00."""
    card()
    rates.set_rates(price_step=Decimal(5))
    ram_rug()
    answer = client.get(reverse("article", args=["H03"]), {"channel": "Fair, card", "hourly": "20"})
    page = text(answer)
    assert "209.21 €" in page
    assert "210.00 €" in page
    assert answer.context["asked"].ask.typed == Decimal("210.00")


@pytest.mark.thorough
def test_a_margin_is_turned_into_a_price(client: Client) -> None:
    """Full 206.75 ÷ (1 - 0.019 - 0.20) = 264.73 rounded up."""
    card()
    ram_rug()
    answer = client.get(reverse("article", args=["H03"]), {"channel": "Fair, card", "margin": "20"})
    assert answer.context["asked"].ask.typed == Decimal("264.73")


@pytest.mark.thorough
def test_tax_stands_on_top_of_floors_and_aims_and_is_taken_out_of_the_list_price(client: Client) -> None:
    """25.5 % on 206.75 are 52.72: 259.47. 185.00 with tax are 147.41 net: (147.41 - 20.23) ÷ 9.25 = 13.75 an hour."""
    factories.registered()
    rates.set_rates(vat_percent=Decimal("25.5"))
    ram_rug()
    answer = client.get(reverse("article", args=["H03"]), {"hourly": "10"})
    page = text(answer)
    assert "259.47 €" in page
    assert "13.75 €" in page
    least = answer.context["asked"].least
    assert (least.net, least.tax, least.pays) == (Decimal("112.73"), Decimal("28.75"), Decimal("141.48"))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("asked", "field", "said"),
    [
        ({"margin": "98.1"}, "margin", "cannot be had"),
        ({"margin": "-1"}, "margin", "less than nothing"),
        ({"hourly": "-1"}, "hourly", "less than nothing"),
        ({"hourly": "20", "margin": "20"}, "margin", "One aim at a time"),
        ({"hourly": "much"}, "hourly", "is not a figure"),
        ({"channel": "Moon"}, "channel", "not one of the available"),
    ],
)
def test_an_aim_out_of_reach_is_refused_beside_its_box(
    client: Client, asked: dict[str, str], field: str, said: str
) -> None:
    card()
    ram_rug()
    answer = client.get(reverse("article", args=["H03"]), {"channel": "Fair, card"} | asked)
    assert said in answer.context["form"].errors[field][0]
    assert answer.context["asked"] is None


@pytest.mark.thorough
def test_late_costs_are_shown_as_late(client: Client) -> None:
    ram_rug()
    factories.put(None, factories.material("OILN", "L", on_hand=1, value="3.00"), 1, tags=["H03"])
    page = text(client.get(reverse("article", args=["H03"])))
    assert "3.00 € book and 3.00 € full were written after it was finished" in page
    assert "23.23 €" in page


def test_a_skin_is_finished_once_though_sent_twice(client: Client) -> None:
    factories.skin("H07")
    address = reverse("article_finish") + "?skin=H07"
    piece = {"kind": "leather", "number": "H07", "area": "52", "grade": "B", "list_price": "140"}
    form = finish_form(piece, {}, hair="off", use="carried")
    for _ in range(2):
        assert client.post(address, form)["location"] == reverse("article", args=["H07"])
    made = Article.objects.get()
    assert (made.kind, made.method, made.area, made.grade) == ("leather", "bark", Decimal(5200), "B")
    assert (made.list_price, made.finished_on) == (Decimal(140), date(2025, 3, 20))
    assert (made.hair, made.use) == ("off", "carried")
    assert Skin.objects.get().stage == Skin.Stage.FINISHED


@pytest.mark.thorough
def test_pieces_without_a_share_bear_equal_parts(client: Client) -> None:
    """37.86 of book over three pouches: 12.62 each, none lost."""
    factories.skin("H08", price="37.86")
    pouches = [{"kind": "pouch", "number": f"H08-{n}", "area": "1.3", "area_unit": "sq_ft"} for n in (1, 2, 3)]
    client.post(reverse("article_finish") + "?skin=H08", finish_form(*pouches))
    assert list(Article.objects.values_list("book_cost", flat=True)) == [Decimal("12.62")] * 3
    assert Article.objects.all()[0].area == Decimal("1207.740")


@pytest.mark.thorough
def test_the_rest_of_a_skin_stays_in_work(client: Client) -> None:
    factories.skin("H08", price=9)
    client.post(reverse("article_finish") + "?skin=H08", finish_form({"kind": "pouch", "number": "P1", "share": "1/3"}))
    assert Skin.objects.get().stage != Skin.Stage.FINISHED
    # What is left is two thirds; a piece without a share takes all of it.
    form = finish_form({"kind": "bag", "number": "P2"}, request_key="k2")
    client.post(reverse("article_finish") + "?skin=H08", form)
    assert Article.objects.get(number="P2").book_cost == Decimal("6.00")
    assert Skin.objects.get().stage == Skin.Stage.FINISHED


@pytest.mark.thorough
def test_skins_are_joined_into_one_piece(client: Client) -> None:
    factories.skin("H10", price="4.65")
    factories.skin("H11", price="4.64")
    address = reverse("article_finish") + "?skin=H10&skin=H11"
    assert 'value="H10-H11"' in client.get(address).content.decode()
    client.post(address, finish_form({"kind": "cushion", "number": "CUSH1"}))
    assert Article.objects.get().book_cost == Decimal("9.29")


@pytest.mark.thorough
def test_the_recipes_method_and_the_measured_area_are_suggested(client: Client) -> None:
    factories.skin("H07", dry_area=Decimal(5200))
    made = factories.batch("B3", version=factories.recipe("R3", method="bark"), tags=["H07"])
    factories.work(DAY, 60, batch=made)
    page = client.get(reverse("article_finish") + "?skin=H07").content.decode()
    assert '<option value="bark" selected' in page
    assert 'value="52"' in page
    assert 'value="H07"' in page


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"number": "H03"}, "number", "is used already"),
        ({"number": "a b"}, "number", "cannot be used"),
        ({"kind": ""}, "kind", "required"),
        ({"share": "2/1"}, "share", "1 at most"),
        ({"share": "1/0"}, "share", "not a share"),
        ({"share": "half"}, "share", "not a share"),
        ({"area": "0"}, "area", "more than nothing"),
        ({"area": "-2"}, "area", "more than nothing"),
        ({"list_price": "0"}, "list_price", "more than nothing"),
        ({"list_price": "1.0050"}, "list_price", "decimals"),
    ],
)
def test_a_wrong_piece_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    factories.skin("H01")
    factories.finish("H01", pieces=[factories.piece("H03")])
    factories.skin("H07")
    piece = {"kind": "leather", "number": "H07"} | wrong
    answer = client.post(reverse("article_finish") + "?skin=H07", finish_form(piece))
    assert said in answer.context["rows"].forms[0].errors[field][0]
    assert answer.context["form"].non_field_errors()
    assert Article.objects.count() == 1
    assert Skin.objects.get(tag="H07").stage == Skin.Stage.RAW


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"on": "2025-03-01"}, "came in on"),
        ({"rows-0-share": "2/3", "rows-1-share": "2/3"}, "add up to 1 at most"),
        ({"rows-0-share": "1", "rows-1-share": ""}, "above 0"),
    ],
)
def test_a_wrong_finishing_is_refused_and_nothing_is_written(client: Client, more: dict[str, str], said: str) -> None:
    factories.skin("H07")
    pieces = [{"kind": "pouch", "number": "P1"}, {"kind": "pouch", "number": "P2"}]
    answer = client.post(reverse("article_finish") + "?skin=H07", finish_form(*pieces, **more))
    assert said in text(answer)
    assert not Article.objects.exists()
    assert not ArticleCost.objects.exists()


def test_nothing_to_finish_says_what_to_do_first(client: Client) -> None:
    assert reverse("skin_new") in text(client.get(reverse("article_finish")))


def test_only_the_skins_of_a_batch_are_offered_when_it_is_named(client: Client) -> None:
    factories.skin("H01")
    factories.skin("H02")
    factories.batch("B1", tags=["H01"])
    page = client.get(reverse("article_finish"), {"batch": "B1"}).content.decode()
    assert 'value="H01"' in page
    assert 'value="H02"' not in page


def test_more_rows_keep_what_was_typed_and_write_nothing(client: Client) -> None:
    factories.skin("H07")
    form = finish_form({"kind": "bag", "number": "X", "area": "big", "area_unit": "sq_ft"}) | {"more": "1"}
    page = client.post(reverse("article_finish") + "?skin=H07", form).content.decode()
    assert 'value="big"' in page
    assert '<option value="sq_ft" selected' in page
    assert '<option value="bark" selected' in page
    assert not Article.objects.exists()


def test_a_helper_may_not_finish(client: Client) -> None:
    factories.skin("H07")
    helper = signed_in(factories.person("helper"))
    form = finish_form({"kind": "leather", "number": "H07"})
    assert helper.post(reverse("article_finish") + "?skin=H07", form).status_code == 403
    assert not Article.objects.exists()


@pytest.mark.thorough
def test_the_list_price_is_set_and_taken_off(client: Client) -> None:
    ram_rug()
    address = reverse("article_price", args=["H03"])
    assert 'value="185"' in client.get(address).content.decode()
    for typed, kept in (("190,50", Decimal("190.50")), ("", None)):
        assert client.post(address, {"list_price": typed, "request_key": "k"}).status_code == 302
        assert Article.objects.get().list_price == kept


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("typed", "said"), [("0", "more than nothing"), ("1.0050", "decimals"), ("x", "figure")])
def test_a_wrong_list_price_is_refused(client: Client, typed: str, said: str) -> None:
    ram_rug()
    answer = client.post(reverse("article_price", args=["H03"]), {"list_price": typed, "request_key": "k"})
    assert said in answer.context["form"].errors["list_price"][0]
    assert Article.objects.get().list_price == Decimal(185)


@pytest.mark.thorough
def test_the_list_shows_both_costs_and_what_an_hour_earns(client: Client) -> None:
    card()
    ram_rug()
    page = text(client.get(reverse("articles")))
    for figure in ("20.23 €", "206.75 €", "19.02 €", "185.00 €", "17.43 €"):
        assert figure in page


@pytest.mark.thorough
def test_the_list_is_found_by_words_and_method(client: Client) -> None:
    ram_rug()
    assert reverse("article", args=["H03"]) in text(client.get(reverse("articles"), {"words": "rug"}))
    assert "No article matches" in text(client.get(reverse("articles"), {"method": "bark"}))


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    card()
    ram_rug()
    one = queries(client, reverse("articles"))
    factories.skin("H50")
    pieces = [factories.piece(f"P{n:02d}", "1/29", list_price=Decimal(9)) for n in range(29)]
    factories.finish("H50", pieces=pieces)
    assert queries(client, reverse("articles")) == one


@pytest.mark.thorough
def test_an_article_takes_as_many_queries_for_thirty_skins_and_channels_as_for_one(client: Client) -> None:
    card()
    ram_rug()
    one = queries(client, reverse("article", args=["H03"]))
    tags = [factories.skin(f"K{n:02d}").tag for n in range(30)]
    factories.finish(*tags, pieces=[factories.piece("BLANKET", area=Decimal(30000))])
    for number in range(10):
        channels.save(name=f"Fair {number}", fee_percent=Decimal(number), fixed_cost=Decimal(0))
    # No batch, no supplier and no use on them: never more than the one skin needed.
    assert queries(client, reverse("article", args=["BLANKET"])) <= one
    assert queries(client, reverse("article", args=["H03"])) == one


def shares_of(answer: Any) -> list[str]:
    return [str(row["share"].value() or "") for row in answer.context["rows"] if row["kind"].value()]


@pytest.mark.thorough
def test_shares_are_worked_out_from_the_areas_and_nothing_is_written(client: Client) -> None:
    factories.skin("H08", dry_area=Decimal(5600))
    address = reverse("article_finish") + "?skin=H08"
    pouches = [{"kind": "pouch", "number": f"P{at}", "area": "12"} for at in (1, 2, 3)]
    answer = client.post(address, finish_form(*pouches, shares="1"))
    assert shares_of(answer) == ["1/3", "1/3", "1/3"]
    assert not Article.objects.exists()
    grades = [
        {"kind": "rug", "number": "R1", "area": "30"},
        {"kind": "rug", "number": "R2", "area": "20", "weight": "0.75"},
    ]
    assert shares_of(client.post(address, finish_form(*grades, shares="1"))) == ["2/3", "1/3"]


@pytest.mark.thorough
def test_offcuts_of_a_stated_value_become_a_piece_and_all_adds_up(client: Client) -> None:
    factories.skin("H08", price=40)
    address = reverse("article_finish") + "?skin=H08"
    pouches = [{"kind": "pouch", "number": f"P{at}", "area": "12"} for at in (1, 2, 3)]
    answer = client.post(address, finish_form(*pouches, shares="1", offcuts="4"))
    assert shares_of(answer) == ["3/10", "3/10", "3/10", "1/10"]
    rows = [
        {name: row[name].value() or "" for name in row.fields} for row in answer.context["rows"] if row["kind"].value()
    ]
    again = client.post(address, finish_form(*rows, shares="1", offcuts="8"))
    assert shares_of(again) == ["4/15", "4/15", "4/15", "1/5"]
    assert shares_of(client.post(address, finish_form(*rows, shares="1"))) == ["1/3", "1/3", "1/3"]
    client.post(address, finish_form(*rows))
    assert list(Article.objects.order_by("number").values_list("number", "book_cost")) == [
        ("H08-offcuts", Decimal(4)), ("P1", Decimal(12)), ("P2", Decimal(12)), ("P3", Decimal(12)),
    ]  # fmt: skip
    assert Skin.objects.get().stage == "finished"


@pytest.mark.thorough
def test_what_counts_for_shares_by_area_alone_is_not_passed_over_by_finish(client: Client) -> None:
    factories.skin("H08", price=40)
    address = reverse("article_finish") + "?skin=H08"
    pouch = {"kind": "pouch", "number": "P1", "area": "12"}
    answer = client.post(address, finish_form(pouch, offcuts="4"))
    assert "Offcuts worth 4.00 are no piece yet. Press “Shares by area”" in text(answer)
    assert "The grade's weight counts for shares by area" in text(
        client.post(address, finish_form({**pouch, "weight": "0.5"}))
    )
    answer = client.post(address, finish_form(pouch, shares="1", offcuts="4"))
    rows = [
        {name: row[name].value() or "" for name in row.fields} for row in answer.context["rows"] if row["kind"].value()
    ]
    answer = client.post(address, finish_form(*rows, offcuts="8"))
    assert "Offcuts worth 8.00 are wanted, and their piece is charged 4.00." in text(answer)
    assert not Article.objects.exists()
    client.post(address, finish_form(*rows, offcuts="4"))
    assert list(Article.objects.order_by("number").values_list("number", "book_cost")) == [
        ("H08-offcuts", Decimal(4)), ("P1", Decimal(36)),
    ]  # fmt: skip


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("pieces", "more", "said"),
    [
        ([{"kind": "rug", "number": "R1"}], {}, "R1 has no area"),
        ([{"kind": "rug", "number": "R1", "area": "57"}], {}, "add up to an area of 57 dm², but H08 measures 56 dm²"),
        ([{"kind": "rug", "number": "R1", "area": "20"}], {"offcuts": "12"}, "Offcuts kept at 12 cannot be"),
        ([{"kind": "rug", "number": "R1", "area": "20", "weight": "0"}], {}, "more than nothing"),
        ([], {}, "name at least one"),
    ],
)
def test_shares_that_cannot_be_are_refused_on_the_page(
    client: Client, pieces: list[dict[str, Any]], more: dict[str, str], said: str
) -> None:
    factories.skin("H08", dry_area=Decimal(5600))
    answer = client.post(reverse("article_finish") + "?skin=H08", finish_form(*pieces, shares="1", **more))
    assert said in text(answer)
    assert not Article.objects.exists()


def test_more_than_the_whole_skin_is_refused(client: Client) -> None:
    factories.skin("H08")
    pieces = [{"kind": "bag", "number": f"P{at}", "share": "0.6"} for at in (1, 2)]
    assert "add up to 1 at most" in text(client.post(reverse("article_finish") + "?skin=H08", finish_form(*pieces)))
    assert not Article.objects.exists()


def test_the_page_of_a_customers_piece_has_its_job_and_nothing_of_a_sale(client: Client) -> None:
    factories.job("J-01", price=140, on=DAY)
    page = text(client.get(reverse("article", args=["A-J-01"])))
    assert "J-01" in page
    assert "140.00 €" in page
    for word in ("Price ticket", "list price", "Least price", "Price for a target", "Sell it"):
        assert word not in page
    sent = client.post(reverse("article_price", args=["A-J-01"]), {"list_price": "90", "request_key": "k"})
    assert "its job has the price" in text(sent)
    assert Article.objects.get().list_price is None


@pytest.mark.thorough
def test_a_list_price_ten_times_the_usual_is_asked_about_when_it_is_set_and_when_a_piece_is_finished(
    client: Client,
) -> None:
    ram_rug(kind="rug")
    for number in ("H04", "H05"):
        factories.skin(number)
    factories.finish("H04", pieces=[factories.piece("H04", kind="rug")])
    address = reverse("article_price", args=["H04"])
    page = text(client.post(address, {"list_price": "1850", "request_key": "a"}))
    assert "1 850.00 € is entered as the price of H04; others of its kind are listed at 185.00 €." in page
    assert Article.objects.get(number="H04").list_price is None
    assert client.post(address, {"list_price": "240", "request_key": "b"}).status_code == 302
    finishing = reverse("article_finish") + "?skin=H05"
    page = text(client.post(finishing, finish_form({"kind": "rug", "number": "H05", "list_price": "18.50"})))
    assert "18.50 € is entered as the price of H05; others of its kind are listed at 185.00 € to 240.00 €." in page
    assert 'href="#id_rows-0-list_price">Change it' in page
    # A pouch may cost a tenth of a rug, and none was priced before.
    assert (
        client.post(finishing, finish_form({"kind": "pouch", "number": "H05", "list_price": "18.50"})).status_code
        == 302
    )
