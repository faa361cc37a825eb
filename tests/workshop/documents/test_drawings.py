"""Charts for pages: their words hold the exact figures, their ids are unique, and nothing in them needs inline style."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest
from django.template import Context, Template
from django.urls import reverse

from costing.models import Batch, Reading
from costing.report.skins import selectors as skins
from costing.sell.pricing import selectors as prices
from inventory.foresight import selectors as foresight
from inventory.foresight.advice import Advice, advices
from inventory.foresight.selectors import Outlook
from inventory.ledger.usage import selectors as usage
from inventory.models import Material, Skin, Workshop
from tests import factories
from workshop.documents.charts import on_pages as drawings

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")
SVG = "{http://www.w3.org/2000/svg}"


def read(svg: str) -> tuple[str, str, list[str]]:
    """Title, description and the words drawn; reading it as XML proves that it is well made."""
    root = ET.fromstring(svg)  # noqa: S314 - our own drawing
    texts = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    return root.findtext(f"{SVG}title", ""), root.findtext(f"{SVG}desc", ""), texts


def test_use_by_month_draws_every_month_and_says_every_figure() -> None:
    first = usage.month_number("2025-01")
    title, said, texts = read(drawings.use_by_month(usage.used_by_month(first, first + 11)))
    assert title == "Material used by month"
    assert said.startswith("Jan 2025 17.27\xa0€; Feb 2025 7.43\xa0€; ")
    assert len(said.split("; ")) == 12
    assert {"Jan", "Dec"} <= set(texts)
    assert "17.27\xa0€" in texts, "it is kept in thousandths and drawn in the currency's own places"


def test_cost_parts_leave_nothing_out_and_add_up() -> None:
    price = prices.find("H03", prices.channel())
    title, said, texts = read(drawings.cost_parts(price))
    assert title == "Full cost of H03 by part"
    assert (
        said.replace("\xa0", " ")
        == "Skin 12.00 €; Materials 8.23 €; My time 148.00 €; Overhead 37.00 €; Frame wear 1.52 €"
    )
    assert any("206.75" in text for text in texts)


def test_a_late_cost_is_drawn_in_the_currencys_own_places() -> None:
    """It is kept in thousandths; with it every part stood in three places, 8.230 EUR."""
    factories.work(date(2025, 12, 30), 120, tags=["H03"])
    _title, said, texts = read(drawings.cost_parts(prices.find("H03", prices.channel())))
    assert {"8.23\xa0€", "40.00\xa0€", "246.75\xa0€"} <= set(texts)
    assert "Late costs 40.00\xa0€" in said


def outlook_of(code: str) -> tuple[Outlook, Advice]:
    (seen,) = foresight.outlooks(date(2025, 12, 31), [Material.objects.get(code=code)])
    return seen, advices([seen])[seen.material.pk]


def test_stock_ahead_is_drawn_for_a_phone_and_for_a_desk() -> None:
    found = drawings.ahead(*outlook_of("ALUMK"))
    assert found
    for svg in (found.narrow, found.wide):
        title, said, texts = read(svg)
        assert title == "Potash alum on the shelf until 1 Mar 2026"
        assert said.startswith(
            "0.56 kg now; 2 kg arrives about 9 Jan; 12 Jan: B5 needs 1.92 kg; order today; 1.36 kg short"
        )
        assert "order today" in texts
    assert found.ordered
    assert not found.uncertain


def test_names_in_a_drawing_are_escaped() -> None:
    seen, buy = outlook_of("ALUMK")
    seen.material.name = 'Alum <b> & "co"'
    found = drawings.ahead(seen, buy)
    assert found
    assert "<b>" not in found.wide
    assert read(found.wide)[0] == 'Alum <b> & "co" on the shelf until 1 Mar 2026'


@pytest.mark.parametrize("draw", ["cost", "month", "ahead"])
def test_a_drawing_carries_no_style_and_names_its_own_words(draw: str) -> None:
    first = usage.month_number("2025-01")
    svg = {
        "cost": lambda: drawings.cost_parts(prices.find("H03", prices.channel())),
        "month": lambda: drawings.use_by_month(usage.used_by_month(first, first + 11)),
        "ahead": lambda: drawings.ahead(*outlook_of("ALUMK")).wide,  # type: ignore[union-attr]
    }[draw]()
    assert not re.search(r"style=|<style|<script|\son\w+=|href=", svg)
    ids = re.findall(r'\sid="([^"]+)"', svg)
    assert len(ids) == len(set(ids)) == 2
    assert re.search(r'aria-labelledby="([^"]+)"', svg)[1].split() == ids  # type: ignore[index]


def test_drying_says_each_weighing_and_the_days_to_soften() -> None:
    skin = Skin.objects.get(tag="H01")
    title, said, texts = read(drawings.drying(skins.dryings([skin])[0]))
    assert title == "H01 drying: weight over days"
    assert said.startswith("3 Feb 2025")
    assert said.count(" g;") == 3
    assert "Soften from Tue 11 Feb 2025 at 2\u202f562 g to Tue 18 Feb 2025 at 2\u202f050 g." in said
    assert "soften Tue 11 Feb to Tue 18 Feb" in texts


def test_a_skin_weighed_too_seldom_has_no_drawing_and_says_what_is_missing() -> None:
    page = Template("{% load charts %}{% drying skin %}")
    skin = Skin.objects.get(tag="H01")
    Reading.objects.filter(skin=skin).exclude(weight=4100).delete()
    html = page.render(Context({"skin": skin}))
    assert "<svg" not in html
    assert "it was weighed once, and it takes two weighings for a first estimate" in html
    assert "4.1 kg" in html


def test_two_weighings_are_told_as_a_range_in_whole_days_and_each_can_be_reversed() -> None:
    page = Template("{% load charts %}{% drying skin %}")
    skin = Skin.objects.get(tag="H01")
    kept = [row.pk for row in Reading.objects.filter(skin=skin).order_by("at")[:2]]
    Reading.objects.filter(skin=skin).exclude(pk__in=kept).delete()
    html = " ".join(page.render(Context({"skin": skin})).split())
    assert "<svg" not in html
    assert "Two weighings tell no more; a third draws the curve." in html
    assert re.search(r"Softening begins between \w+ \d+ Feb, \w+ and \w+ \d+ Feb, \w+, if it weighs", html)
    assert [reverse("reading_reverse", args=[pk]) in html for pk in kept] == [True, True]


def test_a_raw_skin_that_was_never_weighed_shows_nothing_of_drying() -> None:
    page = Template("{% load charts %}{% drying skin %}")
    assert page.render(Context({"skin": Skin.objects.get(tag="H13")})).strip() == ""


def test_a_batch_draws_each_of_its_skins_that_was_weighed_with_the_figures_beside() -> None:
    page = Template("{% load charts %}{% drying_of_batch batch %}")
    html = page.render(Context({"batch": Batch.objects.get(number="B1")}))
    assert html.count("<svg") == 3
    assert [
        tag
        for tag in ("H01", "H02", "H03")
        if f"<summary>{tag}: soften " in " ".join(html.split()).replace("<summary> ", "<summary>")
    ] == ["H01", "H02", "H03"]
    assert html.count("Water left") == 3
    assert "<svg" not in page.render(Context({"batch": Batch.objects.get(number="B4")}))


def test_a_currency_without_cents_is_drawn_without_them() -> None:
    Workshop.objects.update(currency="ISK")
    _, said, _ = read(drawings.use_by_month({usage.month_number("2025-01"): Decimal(17)}))
    assert said == "Jan 2025 17\xa0ISK"


def test_pages_of_the_floors_get_their_chart_by_a_tag() -> None:
    page = Template("{% load charts %}{% cost_chart price %}{% stock_ahead outlook buy %}")
    seen, buy = outlook_of("ALUMK")
    html = page.render(Context({"price": prices.find("H03", prices.channel()), "outlook": seen, "buy": buy}))
    assert html.count("<svg") == 3
    assert "12 Jan: B5 needs 1.92 kg" in html
    ids = re.findall(r'\sid="([^"]+)"', html)
    assert len(ids) == len(set(ids)) == 6


def test_the_shelf_allows_one_skin_of_the_recipe_that_takes_the_alum() -> None:
    page = Template(
        "{% load charts %}{% shelf_allows alum as baths %}"
        "{% for recipe, allows in baths %}{{ recipe }}: {{ allows.words }}{% endfor %}"
    )
    assert page.render(Context({"alum": Material.objects.get(code="ALUMK")})) == "R1: 7.0 L, 1 skin"
    assert page.render(Context({"alum": Material.objects.get(code="TAG")})) == ""
