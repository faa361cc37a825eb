"""Who reads what: one table of every address and role, kept beside this test, and what a helper's pages leave out.

A new address fails here until it stands in `roles.txt`; the failing test writes the table as it is now, to be read before it
is copied over.
"""

from __future__ import annotations

import html
import re
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from django.contrib.auth.models import User
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import resolve, reverse

from costing.models import Batch, Customer, Frame
from inventory.base import selectors as workshop
from inventory.models import Article, Skin
from inventory.permits import HELPER, ROLES
from tests.factories import person, work
from tests.inventory.pages import signed_in, text
from tests.workshop.fuzz.forms import sheets
from tests.workshop.test_security import NAMES, address, patterns
from workshop.reading import MONEY_PAGES, MONEY_SIDE, is_money

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut", "aside")]

TABLE = Path(__file__).with_name("roles.txt")
SAID = {
    200: "page",
    204: "done",
    301: "on",
    302: "on",
    400: "refused",
    403: "no",
    404: "nothing",
    405: "-",
    422: "refused",
    429: "refused",
}

# A sum in the currency of the demonstration, and where one may stand for a helper: goods that they write down, the list price
# of a piece, the price agreed on a job's card, what a skin was bought for.
SUM = re.compile(r"€ ?-?[\d.,]+|[\d.,]+ EUR\b")
GOODS = {
    *(
        "deliveries",
        "delivery",
        "delivery_correct",
        "posting",
        "posting_reverse",
        "shelf",
        "material",
        "supplier",
        "skin_edit",
    ),
    *("count_sheet", "order", "order_receive", "recipe_bath", "to_order", "to_order_pdf", "use_correct"),
}
PRICES = {"articles", "article", "label_ticket", "labels_pdf", "job_pdf", "print_labels"}
OF_GOODS = {
    "skin": re.compile(r"<dt>Price</dt>.*?</div>", re.DOTALL),
    "batch": re.compile(r"<h2>Materials issued</h2>.*?</table>", re.DOTALL),
}


def route(name: str) -> str:
    return next(str(each.pattern) for each in patterns() if each.name == name)


def line(name: str, browsers: dict[str, Client]) -> str:
    """The address, and for each role what GET and POST of the owner's own form are answered with."""
    sent = form(browsers["owner"], name)
    cells = []
    for browser in browsers.values():
        with transaction.atomic():
            got, posted = browser.get(address(name)), browser.post(address(name), sent)
            transaction.set_rollback(True)
        workshop.forget()
        cells.append(f"{SAID[got.status_code]}/{SAID[posted.status_code]}")
    return "  ".join([f"{name:<22}", *(f"{cell:<15}" for cell in cells), route(name)])


def form(browser: Client, name: str) -> dict[str, str]:
    answer = browser.get(address(name))
    if not answer["Content-Type"].startswith("text/html"):
        return {}
    here = [
        each for each in sheets(answer.content.decode()) if each.method == "post" and each.action in ("", address(name))
    ]
    return dict(here[0].entries) if here else {}


@pytest.fixture
def browsers(owner: User) -> dict[str, Client]:
    return {role: signed_in(owner if role == "owner" else person(role)) for role in ROLES}


@pytest.mark.thorough
@pytest.mark.slow
def test_the_table_of_roles_and_addresses_is_the_one_that_was_read(browsers: dict[str, Client], tmp_path: Path) -> None:
    head = "  ".join([f"{'GET/POST':<22}", *(f"{role:<15}" for role in ROLES), "address"])
    apart = ("sign_out",)
    now = "\n".join([head, *(line(name, browsers) for name in NAMES if name not in apart), ""])
    draft = tmp_path / TABLE.name
    draft.write_text(now, encoding="utf-8")
    kept = TABLE.read_text(encoding="utf-8") if TABLE.is_file() else ""
    changed = [row for row in now.splitlines() if row not in kept.splitlines()]
    assert now == kept, (
        f"{len(changed)} rows differ; read {draft}, and if it is meant copy it over {TABLE}:\n" + "\n".join(changed)
    )


def test_every_address_stands_in_the_table_of_roles() -> None:
    told = {row.split()[0] for row in TABLE.read_text(encoding="utf-8").splitlines()[1:]}
    assert told == set(NAMES) - {"sign_out"}


def test_a_helper_is_answered_no_on_the_money_side_and_a_bookkeeper_reads_it(browsers: dict[str, Client]) -> None:
    """By the table that was read: a page of the money side is the helper's nowhere."""
    rows = [row.split() for row in TABLE.read_text(encoding="utf-8").splitlines()[1:]]
    money = {name: dict(zip(ROLES, cells, strict=False)) for name, *cells in rows if is_money(resolve(address(name)))}
    assert len(money) > 60
    assert money.pop("sales")[HELPER] == "on/on"
    assert {cells[HELPER] for cells in money.values()} == {"no/no"}
    # What only the owner may send is shut to the bookkeeper as a page too; everything that only shows is not.
    assert {cells["bookkeeper"] for cells in money.values() if cells["owner"] == "page/-"} == {"page/-"}
    for name in money:
        assert browsers[HELPER].get(address(name)).status_code == 403, name


def test_every_branch_of_the_money_side_has_an_address() -> None:
    routes = [str(each.pattern).lstrip("^") for each in patterns()]
    assert [branch for branch in MONEY_SIDE if not any(found.startswith(branch) for found in routes)] == []
    assert set(NAMES) >= MONEY_PAGES


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("path", "money"),
    [
        ("/articles/H03/", ["Full cost", "Least price", "An hour", "What it cost"]),
        ("/articles/", ["Full a sq ft", "Book"]),
        ("/batches/B5/", ["Compare with recipe", "book, ", "Full"]),
        ("/skins/H13/", ["Cost so far", "Go on or stop", "At stake"]),
        ("/customers/", ["Balance due"]),
        ("/customers/{}/", ["Owes", "Balance due", "Statement of account", "Agreed"]),
        ("/jobs/", ["Balance due", "Deposit held"]),
        ("/jobs/J-01/", ["An hour earns", "Still to pay", "Deposit asked"]),
        ("/labour/", ["Paid"]),
        ("/", ["at risk", ">Books<"]),
        ("/search/?q=INV", ["Papers", "Receipts"]),
        ("/search/?q=R-0", ["Receipts"]),
    ],
)
def test_what_a_helper_reads_leaves_the_money_out(path: str, money: list[str], browsers: dict[str, Client]) -> None:
    path = path.format(Customer.objects.earliest("pk").pk)
    mine, theirs = text(browsers["owner"].get(path)), text(browsers[HELPER].get(path))
    assert any(words in mine for words in money), "the owner's page says none of it either"
    assert [words for words in money if words in theirs] == []


@pytest.mark.thorough
def test_no_link_of_a_helpers_page_leads_to_the_money_side(browsers: dict[str, Client]) -> None:
    shed = ("today", "skins", "batch", "skin", "articles", "article", "customer", "customers", "job", "jobs", "shelf")
    found = []
    for name in (*shed, "material", "help", "suppliers", "orders", "search"):
        page = browsers[HELPER].get(address(name)).content.decode()
        links = {part.split('"')[0].split("?")[0].split("#")[0] for part in page.split('href="')[1:]}
        pages = [link for link in links if link.startswith("/") and not link.startswith("/static/")]
        found += [(name, link) for link in pages if link != "/sales/" and is_money(resolve(link))]
    assert sorted(set(found)) == []


def test_the_sales_of_a_helper_are_the_jobs(browsers: dict[str, Client]) -> None:
    answer = browsers[HELPER].get("/sales/", follow=True)
    assert answer.redirect_chain == [(reverse("jobs"), 302)]
    page = text(answer)
    assert '<a href="/sales/" aria-current="true">Sales</a>' in page
    assert f'href="{reverse("books")}"' not in page


@pytest.mark.slow
def test_a_helper_reads_no_sum_but_of_goods_and_the_list_price(browsers: dict[str, Client]) -> None:
    """Every address of the demonstration, and each skin, piece, batch and frame by itself, as page or paper."""
    paths = [address(name) for name in NAMES if name not in ("sign_out", "sign_in")]
    of_each = {
        Skin: ("skin", "tag"),
        Article: ("article", "number"),
        Batch: ("batch", "number"),
        Frame: ("frame", "number"),
    }
    for kind, (name, key) in of_each.items():
        paths += [reverse(name, args=[code]) for code in kind._default_manager.values_list(key, flat=True)]
    stays = Batch.objects.exclude(stays=None).values_list("number", "stays__skin__tag")
    paths += [reverse("stay_strike", args=stay) for stay in stays]
    assert len(paths) > 150
    read, sums = 0, {}
    for path in paths:
        answer = browsers[HELPER].get(path)
        name = resolve(path).url_name or ""
        if answer.status_code != 200 or name in GOODS | PRICES:
            continue
        found = SUM.findall(shown(answer, name))
        read += 1
        if found:
            sums[path] = found
    assert read > 100
    assert sums == {}


def shown(answer: HttpResponse, name: str) -> str:
    """What a reader sees of a page or a paper, without the part of it where goods stand."""
    if answer["Content-Type"] == "application/pdf":
        return " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages)
    page = answer.content.decode()
    if name in OF_GOODS:
        page = OF_GOODS[name].sub("", page)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_an_hour_at_a_price_is_not_a_helpers_to_ask(browsers: dict[str, Client]) -> None:
    """What an hour earns at a price of one's own tells the cost."""
    work(date(2025, 12, 20), 90, task="soften", tags=["H13"])
    mine, theirs = (text(browsers[role].get("/skins/H13/?price=200")) for role in ("owner", HELPER))
    assert "What an hour earns at a price" in mine
    assert "What an hour earns at a price" not in theirs
    assert "Softened so far" in theirs


def test_the_job_card_of_a_helper_has_the_price_and_nothing_of_what_is_due(browsers: dict[str, Client]) -> None:
    mine, theirs = (shown(browsers[role].get("/jobs/J-01/card.pdf"), "job_pdf") for role in ("owner", HELPER))
    told = ("Deposit", "Paid", "Balance due")
    assert "Price" in theirs
    assert [words for words in told if words in mine]
    assert [words for words in told if words in theirs] == []


def test_a_helper_describes_a_frame_and_leaves_its_cost_as_it_is(browsers: dict[str, Client]) -> None:
    frame = Frame.objects.earliest("pk")
    Frame.objects.filter(pk=frame.pk).update(cost=Decimal("71.31"))
    path = reverse("frame_edit", args=[frame.number])
    assert "71.31" in text(browsers["owner"].get(path))
    assert "71.31" not in text(browsers[HELPER].get(path))
    sent = {**form(browsers[HELPER], "frame_edit"), "note": "ash, 2 m"}
    assert browsers[HELPER].post(path, {**sent, "cost": "1"}).status_code == 302
    frame.refresh_from_db()
    assert (frame.note, frame.cost) == ("ash, 2 m", Decimal("71.31"))
