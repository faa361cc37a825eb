"""What a buyer reads of a piece: its own title, hair and use; kept in its file and changed on its page."""

from __future__ import annotations

import pytest
from django.urls import reverse

from inventory.articles import services as articles
from inventory.articles.services import Naming
from inventory.errors import NotAllowed, Refused
from inventory.models import Article
from tests import factories
from tests.factories import finish, piece, skin
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db


def rug(**naming: object) -> Article:
    skin("H01")
    return finish("H01", pieces=[piece("R1", naming=Naming(**naming))])[0]


def test_nothing_is_said_at_first() -> None:
    row = rug()
    assert (row.title, row.hair, row.use, row.textile, row.fur_origin) == ("", "", "", False, False)


def test_what_is_said_is_kept_at_finishing_and_after() -> None:
    row = rug(hair="on", use="rug")
    assert (row.hair, row.use) == ("on", "rug")
    articles.name(article=row, naming=Naming(title="The white one", hair="on", fur_origin=True))
    row.refresh_from_db()
    assert (row.title, row.hair, row.use, row.fur_origin) == ("The white one", "on", "", True)


@pytest.mark.parametrize(
    ("wrong", "said", "field"),
    [
        ({"title": "x" * 81}, "The title", "title"),
        ({"title": "x" * 300}, "The title", "title"),
        ({"title": "a\x07"}, "control character", "title"),
        ({"hair": "long"}, "hair", "hair"),
        ({"use": "eaten"}, "use", "use"),
        ({"hair": "off", "fur_origin": True}, "no fur", "fur_origin"),
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, object], said: str, field: str) -> None:
    row = rug()
    with pytest.raises(Refused, match=said) as refused:
        articles.name(article=row, naming=Naming(**wrong))
    assert refused.value.field == field
    row.refresh_from_db()
    assert row.title == ""


def test_a_helper_does_not_name_pieces() -> None:
    with pytest.raises(NotAllowed):
        articles.name(article=rug(), naming=Naming(), by=factories.person("helper"))


def test_the_page_shows_and_changes_it() -> None:
    client = signed_in()
    rug(hair="on")
    address = reverse("article_label", args=["R1"])
    shown = text(client.get(address))
    assert "Check local rules" in shown
    assert "Sheepskin rug" in shown
    form = {"title": "Snow", "hair": "on", "use": "rug", "textile": "on", "request_key": "k"}
    assert "The label of R1 is changed" in text(client.post(address, form, follow=True))
    row = Article.objects.get()
    assert (row.title, row.hair, row.use, row.textile, row.fur_origin) == ("Snow", "on", "rug", True, False)
    assert "no fur" in text(client.post(address, {"hair": "off", "fur_origin": "on", "request_key": "l"}))


def test_a_piece_of_which_nothing_is_said_asks_on_its_page_for_its_hair() -> None:
    client = signed_in()
    row = rug()
    address = reverse("article", args=["R1"])
    assert "Say whether its hair is on" in text(client.get(address))
    articles.name(article=row, naming=Naming(title="The white one", hair="on"))
    page = text(client.get(address))
    assert "Say whether its hair is on" not in page
    assert "R1: The white one" in page
    assert "Alum-tawed, hair on" in page
