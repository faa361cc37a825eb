"""The page “What if” over the demonstration year, and the small form that leads to it."""

from __future__ import annotations

import pytest
from django.test import Client

from tests.inventory.pages import text

pytestmark = pytest.mark.usefixtures("demo")


def test_the_shelf_leads_there_and_the_alum_asks_for_one_more_batch(client: Client) -> None:
    assert 'href="/what-if/"' in text(client.get("/shelf/"))
    page = text(client.get("/shelf/ALUMK/"))
    assert 'action="/what-if/"' in page
    assert [code for code in ("R1", "R2", "R3", "R4") if f'<option value="{code}">' in page] == ["R1", "R2"]


def test_what_the_shelf_allows_and_which_batch_fails_first(client: Client) -> None:
    page = text(client.get("/what-if/"))
    assert "<dt>Largest batch by R1</dt><dd>7.0 L, 1 skin" in page
    assert "B5 on 12 Jan 2026, for want of Potash alum" in page


def test_three_questions_at_once(client: Client) -> None:
    page = text(client.get("/what-if/?recipe=R1&skins=3&material=ALUMK&percent=20&slower=2"))
    assert "One more batch of 3 skins by R1 · Potash alum 20 % dearer · Lead times twice as long." in page
    assert "<b>one more batch on 9 Jan 2026, for want of Potash alum</b>" in page
    assert "<b>2 packs of 2 kg</b>" in page
    # 24 L at 80 g: 1.92 kg of alum at 5.80 and at 6.96, and the rest of the recipe as before.
    assert "2.23 € more" in page
    assert "What is assumed" in page


def test_one_more_batch_of_unknown_weight_is_worked_out_all_the_same(client: Client) -> None:
    page = text(client.get("/what-if/?recipe=R2&skins=2"))
    assert "<dt>Wheat flour</dt><dd>0.96 kg on 19 Jan 2026</dd>" in page
