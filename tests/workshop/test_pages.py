"""Pages of the roof in the demonstration year: Today, Books and their files, Setup with people and their links."""

from __future__ import annotations

import html
import re
from datetime import date
from decimal import Decimal
from io import BytesIO

import pypdf
import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import Settings

from costing.make.batches.issues import services as batches
from costing.make.labour import services as labour
from costing.make.recipes import services as recipes
from costing.models import RecipeVersion
from costing.report.usage import report as usage_report
from costing.report.valuation import report as worth_report
from inventory.base.accounting import services as service
from inventory.base.chain import selectors as chain
from inventory.base.chain.rules import Head
from inventory.models import Article, ChainLink, Material, Workshop
from inventory.people import services as people
from tests import factories
from tests.inventory.pages import by_link, signed_in
from workshop.reports import answers

pytestmark = pytest.mark.usefixtures("demo", "type_is_cut")
YEAR = [f"2025-{month:02d}" for month in range(1, 13)]
POSTED = {"request_key": "k1"}


def text(answer: HttpResponse) -> str:
    """What a reader sees, every run of white space one space."""
    words = re.sub(r"<(style|script|svg)\b.*?</\1>|<[^>]+>", " ", answer.content.decode(), flags=re.DOTALL)
    return " ".join(html.unescape(words).split())


def cells(answer: HttpResponse, table: str) -> list[list[str]]:
    """The rows of the table in the box that `table` labels."""
    box = answer.content.decode().split(f'aria-label="{table}"')[1].split("</table>")[0]
    rows = re.findall(r"<tr>(.*?)</tr>", box, flags=re.DOTALL)
    strip = re.compile(r"<[^>]+>")
    return [
        [
            html.unescape(strip.sub("", cell)).strip()
            for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)
        ]
        for row in rows
    ]


@pytest.fixture
def helper(demo: None) -> Client:
    return signed_in(factories.person("helper"))


@pytest.fixture
def bookkeeper(demo: None) -> Client:
    return signed_in(factories.person("bookkeeper"))


def test_today_says_what_to_order_by_when_and_that_it_is_due(client: Client) -> None:
    page = client.get("/")
    said = text(page)
    assert "1 material to order" in said
    assert "Potash alum : Order one 2 kg pack today" in said
    assert "0.56 kg left; B5 needs 1.92 kg, 1.36 kg short. About 11.60 € from Utuharju Chemicals." in said
    assert "Order now" in said


def test_today_says_order_soon_while_there_is_a_day_left(client: Client) -> None:
    service.pin_today(on=date(2025, 12, 30))
    said = text(client.get("/"))
    assert "Order one 2 kg pack by 31 Dec" in said
    assert "Order now" not in said


def test_today_shows_plan_and_raw_skins_and_that_it_is_a_demonstration(client: Client) -> None:
    said = text(client.get("/"))
    assert "Sat 3 Jan 2026, in 3 days; 4 skins, 24 L" in said
    assert "its date is fixed to 31 December 2025" in said
    assert "H13" in said
    assert "H14" in said


def test_a_batch_that_should_have_begun_is_late_to_begin(client: Client) -> None:
    service.pin_today(on=date(2026, 1, 4))
    assert text(client.get("/")).count("late to begin") == 3


def test_a_batch_in_work_is_shown_with_its_skins(client: Client) -> None:
    version = RecipeVersion.objects.get(recipe__code="R1")
    batch = factories.batch("B6", version=version, start=date(2025, 12, 20), tags=["H13", "H14"])
    labour.log(on=date(2025, 12, 20), task="flesh", minutes=Decimal(30), batch=batch)
    assert "2 skins, since 20 Dec 2025" in text(client.get("/"))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("month", YEAR)
def test_a_month_on_the_page_is_the_month_of_the_command(client: Client, month: str) -> None:
    told = answers.shape(usage_report.month(month))
    page = client.get(reverse("books"), {"month": month})
    rows = {row[0]: row[1:] for row in cells(page, "Material use")}
    for line in told["lines"]:
        unit = "pc" if line["unit"] == "piece" else line["unit"]
        opening, came, used, other, closing, used_value, left_value = rows[line["name"]]
        assert opening.replace("\u00a0", " ") == f"{line['opening']} {unit}"
        for shown, name in ((came, "in"), (used, "used"), (other, "other")):
            assert shown.replace("\u00a0", " ") == ("–" if Decimal(line[name]) == 0 else f"{line[name]} {unit}")
        assert closing.replace("\u00a0", " ") == f"{line['closing']} {unit}"
        assert used_value == ("–" if Decimal(line["used_value"]) == 0 else line["used_value"])
        assert left_value == line["closing_value"]
    assert rows["All materials, value in EUR"][-2] == told["used_value"]
    assert len(rows) == len(told["lines"]) + 2
    by_batch = [Decimal(row[3]) for row in cells(page, "Use by batch")[1:-1]] if Decimal(told["used_value"]) else []
    assert sum(by_batch, Decimal(0)) == Decimal(told["used_value"])


def test_books_open_at_the_last_month_with_entries(client: Client) -> None:
    assert "Material use in December 2025" in text(client.get(reverse("books")))


def test_books_lead_to_the_months_beside_and_stop_at_the_calendars_ends(client: Client) -> None:
    page = client.get(reverse("books"), {"month": "2025-01"}).content.decode()
    assert '"?month=2024-12"' in page
    assert '"?month=2025-02"' in page
    assert 'rel="prev"' not in client.get(reverse("books"), {"month": "0001-01"}).content.decode()
    assert 'rel="next"' not in client.get(reverse("books"), {"month": "9999-12"}).content.decode()


def test_a_month_as_csv_is_what_the_command_writes(client: Client) -> None:
    answer = client.get("/books/2025-01.csv")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="material-use-2025-01.csv"'
    lines = answer.content.decode().splitlines()
    assert lines[0].startswith("month,material,name,unit,opening,in,used,other,closing,")
    assert "2025-01,ALUMK,Potash alum,kg,0.6,2,1.44,0,1.16,2.70,14.35,9.44,0.00,7.61," + chain.head().value in lines


def test_a_month_as_pdf_is_a_paper_to_keep(client: Client) -> None:
    answer = client.get("/books/2025-01.pdf")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'attachment; filename="material-use-2025-01.pdf"'
    assert "17.27" in pypdf.PdfReader(BytesIO(answer.content)).pages[0].extract_text()


@pytest.mark.slow
def test_a_year_adds_up_across_and_down(client: Client) -> None:
    table = usage_report.year(2025).table("by_month")
    *months, whole = table.sums().values()
    assert sum(months) == whole == sum(row["value"] for row in table.rows)
    assert tuple(months) == tuple(Decimal(answers.shape(usage_report.month(month))["used_value"]) for month in YEAR)
    shown = cells(client.get(reverse("year", args=[2025])), "Use by material and month")
    assert shown[-1] == ["Total", *(f"{value:.2f}" for value in months), f"{whole:.2f}", ""]


@pytest.mark.slow
def test_a_year_as_csv_has_a_row_for_each_month_of_use(client: Client) -> None:
    answer = client.get(reverse("year_file", args=[2025]))
    lines = answer.content.decode().splitlines()
    assert lines[0] == "material,name,month,quantity,unit,value"
    assert "ALUMK,Potash alum,2025-01,1.44,kg,9.44" in lines
    assert sum(Decimal(line.rsplit(",", 1)[1]) for line in lines[1:]) == Decimal("119.73")


@pytest.mark.slow
def test_a_year_without_use_says_so(client: Client) -> None:
    assert "No material was used in 1999" in text(client.get(reverse("year", args=[1999])))
    assert client.get(reverse("year_file", args=[1999])).content.decode() == "material,name,month,quantity,unit,value\n"


def test_worth_shows_the_figures_of_the_command(client: Client) -> None:
    told = answers.shape(worth_report.at(date(2025, 12, 31)))
    page = client.get(reverse("worth"))
    said = text(page).replace("\u00a0", " ")
    for name in ("consumables", "raw_skins", "in_work", "finished", "total"):
        assert f"{told[name]} €" in said
    rows = cells(page, "Consumables")
    assert [row[2] for row in rows[1:-1]] == [line["value"] for line in told["materials"]]
    assert rows[-1] == ["Total", "", "148.80"]
    assert "Skins lost so far had cost 36.82 €" in said


def test_worth_of_an_earlier_day(client: Client) -> None:
    said = text(client.get(reverse("worth"), {"on": "2025-01-01"}))
    assert "42.89" in said
    assert "1 January 2025" in said


def test_the_check_is_clean_and_names_what_is_not(client: Client) -> None:
    assert "The books are clean" in text(client.get(reverse("check_books")))
    Material.objects.filter(code="TAG").update(value=Decimal("1.13"))
    said = text(client.get(reverse("check_books")))
    assert re.search(r"\d differences? in the books", said)
    assert "1.13" in said


@pytest.mark.thorough
def test_the_check_value_stands_on_the_reports_and_is_looked_for_on_the_check(client: Client) -> None:
    head = chain.head()
    for page in (reverse("books"), reverse("results", args=[2025]), reverse("check_books")):
        assert f"{head.value} after {head.position} entries" in text(client.get(page))
    first = Head(1, ChainLink.objects.get(position=1).digest).value
    known = text(client.get(reverse("check_books"), {"was": first.upper().replace(" ", "")}))
    assert f"It is the check value after 1 entry; {head.position - 1} more since then." in known
    assert "do not know that check value" in text(client.get(reverse("check_books"), {"was": "0" * 16}))
    wrong = client.get(reverse("check_books"), {"was": "twelve"})
    assert "“twelve” is not a check value" in text(wrong)
    assert 'aria-describedby="was_wrong"' in wrong.content.decode()


@pytest.mark.parametrize("paper", ["care", "ticket"])
def test_an_articles_papers_are_shown_in_the_browser(client: Client, paper: str) -> None:
    answer = client.get(reverse(f"label_{paper}", args=["H03"]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'inline; filename="{paper}-H03.pdf"'
    assert answer.content.startswith(b"%PDF-")


def test_a_paper_that_cannot_be_made_says_why_on_the_page_it_came_from(client: Client) -> None:
    Article.objects.filter(number="H03").update(list_price=None)
    back = "http://testserver" + reverse("article", args=["H03"])
    answer = client.get(reverse("label_ticket", args=["H03"]), headers={"referer": back}, follow=True)
    assert answer.redirect_chain == [(back, 302)]
    assert "H03 has no list price yet. Set it on the article's page, then print the ticket." in text(answer)


def changed(**fields: str) -> dict[str, str]:
    kept = {
        "name": "Routamo Skins",
        "maker": "K. Routamo",
        "postal_address": "Kanervapolku 7, 99999 Utuharju",
        "electronic_address": "workshop@example.org",
        "currency": "EUR",
        "cost_flow": "average",
        "bath_unit": "L",
        "degrees": "C",
        "on": "2025-12-31",
    }
    return {**POSTED, **kept, **fields}


def test_the_workshop_is_changed_as_a_whole(client: Client) -> None:
    sent = changed(name="Routamo Hides", postal_address="Kanervapolku 9, 99999 Utuharju", on="")
    assert client.post(reverse("setup_workshop"), sent)["Location"] == reverse("setup")
    row = Workshop.objects.get()
    assert (row.name, row.postal_address, row.today) == ("Routamo Hides", "Kanervapolku 9, 99999 Utuharju", None)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("field", "value", "refusal"),
    [
        ("currency", "SEK", "entries exist, so the currency stays"),
        ("name", "", "This field is required"),
        ("name", "a\x07", "control character"),
        ("on", "9999-12-31", "The date can be fixed between 1970-01-01 and"),
        ("cost_flow", "lifo", "Select a valid choice"),
    ],
)
def test_what_the_workshop_cannot_be_is_said_beside_the_field(
    client: Client, field: str, value: str, refusal: str
) -> None:
    before = Workshop.objects.values().get()
    answer = client.post(reverse("setup_workshop"), changed(maker="Somebody", **{field: value}))
    assert answer.status_code == 200
    assert refusal in text(answer)
    assert f'aria-describedby="id_{field}' in answer.content.decode()
    assert f'id="id_{field}_error"' in answer.content.decode()
    assert Workshop.objects.values().get() == before


@pytest.mark.thorough
def test_another_valuation_method_is_asked_about_and_taken_over_from_the_setup_page(client: Client) -> None:
    asked = client.post(reverse("setup_workshop"), changed(cost_flow="fifo"))
    assert Workshop.objects.get().cost_flow == "average"
    assert "From 31 December 2025 stock is valued by first in, first out instead of weighted average." in text(asked)
    assert "What left the shelf before keeps its cost" in text(asked)
    assert "tell your accountant" in text(asked)
    client.post(reverse("setup_workshop"), {**changed(cost_flow="fifo"), "sure": asked.context["form"].asked.sure})
    assert "first in, first out, since 31 Dec 2025" in text(client.get(reverse("setup")))
    assert Workshop.objects.get().cost_flow == "fifo"
    assert "The books are clean" in text(client.get(reverse("check_books")))


def test_the_bookkeeper_closes_the_books_and_opens_them_again(bookkeeper: Client) -> None:
    assert bookkeeper.get(reverse("close_books")).status_code == 200
    bookkeeper.post(reverse("close_books"), {**POSTED, "to": "2025-12-31"})
    assert Workshop.objects.get().closed_to == date(2025, 12, 31)
    refused = bookkeeper.post(reverse("close_books"), {"request_key": "k2", "to": ""})
    assert "Say why" in text(refused)
    assert Workshop.objects.get().closed_to == date(2025, 12, 31)
    bookkeeper.post(reverse("close_books"), {"request_key": "k2", "to": "", "reason": "a bill of May was missing"})
    assert Workshop.objects.get().closed_to is None
    assert "a bill of May was missing" in text(bookkeeper.get(reverse("close_books")))


def test_what_is_refused_for_closed_books_leads_those_who_may_to_where_they_are_opened(
    client: Client, helper: Client
) -> None:
    service.close_books(to=date(2025, 12, 30))
    entry = {**POSTED, "on": "2025-12-30", "quantity": "1", "unit": "kg", "kind": "spoiled", "reason": "wet"}
    address = reverse("stock_out", args=["SALT"])
    refused = client.post(address, entry)
    assert "The books are closed to 2025-12-30" in text(refused)
    assert f'href="{reverse("close_books")}"' in refused.content.decode()
    assert f'href="{reverse("close_books")}"' not in helper.post(address, entry).content.decode()


def test_a_day_in_the_far_future_is_no_day_to_close_to(client: Client) -> None:
    answer = client.post(reverse("close_books"), {**POSTED, "to": "2999-01-01"})
    assert "too far in the future" in text(answer)
    assert Workshop.objects.get().closed_to is None


SETUP = ["setup", "setup_workshop", "person_new", "person_role", "person_link", "person_shut_out"]
PERSONS = ["person_role", "person_link", "person_shut_out"]


def address(name: str) -> str:
    return reverse(name, args=[people.owner().pk] if name in PERSONS else [])


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("name", SETUP)
@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_setup_is_the_owners(role: str, name: str) -> None:
    client = signed_in(factories.person(role))
    for answer in (client.get(address(name)), client.post(address(name), POSTED)):
        assert answer.status_code in (403, 405)
    assert client.get(address(name)).status_code == 403
    assert "Your role may not change the set-up. Ask the owner" in text(client.get(address(name)))


def test_a_helper_closes_no_books_and_is_shown_no_setup(helper: Client) -> None:
    assert helper.get(reverse("close_books")).status_code == 403
    rooms = helper.get("/").content.decode().split('aria-label="Sections"')[1].split("</nav>")[0]
    assert "Setup" not in rooms
    assert "Books" not in rooms


def test_a_new_person_signs_in_by_a_link_that_works_once(client: Client) -> None:
    client.post(reverse("person_new"), {**POSTED, "name": "Aino", "role": "helper"})
    aino = User.objects.get(username="Aino")
    assert [group.name for group in aino.groups.all()] == ["helper"]
    assert not aino.has_usable_password()
    page = client.post(reverse("person_link", args=[aino.pk]), POSTED)
    assert page["Cache-Control"] == "private, no-store"
    found = re.search(r'value="http://testserver(/sign-in/link/\?key=[^"]+)"', page.content.decode())
    assert found
    theirs, again = Client(), Client()
    assert by_link(found[1], theirs)["Location"] == "/"
    assert theirs.get("/").context["user"] == aino
    assert by_link(found[1], again).status_code == 403
    assert "It was used already" in text(again.get(found[1]))


def test_two_links_of_a_person_open_once_each(client: Client) -> None:
    aino = factories.person("helper")
    links = [
        re.search(r"/sign-in/link/\?key=[^\"]+", client.post(address_of(aino), POSTED).content.decode())
        for _ in range(2)
    ]
    assert links[0]
    assert links[1]
    for link in (links[1], links[0]):
        assert by_link(link[0]).status_code == 302
        assert by_link(link[0]).status_code == 403


def address_of(person: User) -> str:
    return reverse("person_link", args=[person.pk])


@pytest.mark.parametrize(
    ("fields", "refusal"),
    [
        ({"name": "owner", "role": "helper"}, "owner"),
        ({"name": "two words", "role": "helper"}, "no spaces"),
        ({"name": "Aino", "role": "chief"}, "Select a valid choice"),
        ({"name": "", "role": "helper"}, "This field is required"),
    ],
)
def test_a_person_that_cannot_be_added_is_refused(client: Client, fields: dict[str, str], refusal: str) -> None:
    before = User.objects.count()
    answer = client.post(reverse("person_new"), {**POSTED, **fields})
    assert answer.status_code == 200
    assert refusal in text(answer)
    assert User.objects.count() == before


def test_a_role_changes_from_the_next_page_on(client: Client) -> None:
    person = factories.person("helper")
    theirs = signed_in(person)
    assert theirs.get(reverse("setup")).status_code == 403
    client.post(reverse("person_role", args=[person.pk]), {**POSTED, "role": "owner"})
    assert theirs.get(reverse("setup")).status_code == 200


def test_the_last_owner_stays_owner(client: Client, owner: User) -> None:
    answer = client.post(reverse("person_role", args=[owner.pk]), {**POSTED, "role": "helper"})
    assert "This is the only owner. Make somebody else owner first." in text(answer)
    assert owner.groups.get().name == "owner"


def test_who_is_shut_out_is_out_at_once_and_can_be_let_in_again(client: Client) -> None:
    person = factories.person("helper")
    theirs = signed_in(person)
    waiting = re.search(r"/sign-in/link/\?key=[^\"]+", client.post(address_of(person), POSTED).content.decode())
    assert theirs.get("/").status_code == 200
    client.post(reverse("person_shut_out", args=[person.pk]), POSTED)
    assert theirs.get("/").status_code == 302
    assert waiting
    assert Client().get(waiting[0]).status_code == 403
    assert "Let in again" in text(client.get(reverse("setup")))
    assert client.get(address_of(person)).status_code == 404
    client.post(reverse("person_role", args=[person.pk]), {**POSTED, "role": "bookkeeper"})
    person.refresh_from_db()
    assert person.is_active
    assert [group.name for group in person.groups.all()] == ["bookkeeper"]


def test_the_last_owner_cannot_be_shut_out(client: Client, owner: User) -> None:
    answer = client.post(reverse("person_shut_out", args=[owner.pk]), POSTED)
    assert "This is the only owner. Make somebody else owner first." in text(answer)
    assert client.get("/").status_code == 200


@pytest.mark.parametrize("name", PERSONS)
def test_nobody_has_no_page(client: Client, name: str) -> None:
    assert client.get(reverse(name, args=[999_999])).status_code == 404


def test_anybody_sets_their_own_password_and_stays_signed_in(helper: Client, settings: Settings) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    sent = {**POSTED, "password": "seven quiet alder trees"}
    assert helper.post(reverse("own_password"), sent)["Location"] == "/"
    page = helper.get("/")
    assert page.status_code == 200
    assert "Your password is set." in text(page)
    name = page.context["user"].username
    door = Client().post("/sign-in/", {"username": name, "password": sent["password"]})
    assert door["Location"] == "/"


def test_anybody_chooses_their_own_sign_in_name_and_stays_signed_in(helper: Client) -> None:
    assert helper.post(reverse("own_name"), {**POSTED, "name": "Jane_D"})["Location"] == "/"
    page = helper.get("/")
    assert "Your sign-in name is Jane_D." in text(page)
    assert page.context["user"].username == "Jane_D"
    assert helper.post(reverse("own_name"), {**POSTED, "name": "jane_d"}).status_code == 302


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("name", "refusal"),
    [
        ("OWNER", "The sign-in name OWNER is used already. Choose another"),
        ("two words", "no spaces"),
        ("", "This field is required"),
        ("x" * 31, "at most 30"),
    ],
)
def test_a_sign_in_name_that_cannot_be_had_is_refused_beside_its_field(helper: Client, name: str, refusal: str) -> None:
    before = helper.get("/").context["user"].username
    assert refusal in text(helper.post(reverse("own_name"), {**POSTED, "name": name}))
    assert helper.get("/").context["user"].username == before


def test_a_renamed_owner_is_the_one_whom_the_next_opening_lets_in(client: Client, owner: User) -> None:
    client.post(reverse("own_name"), {**POSTED, "name": "kaisa"})
    assert (people.owner().pk, people.owner().username) == (owner.pk, "kaisa")
    assert User.objects.filter(groups__name="owner").count() == 1


@pytest.mark.parametrize(("password", "refusal"), [("xk3-9", "too short"), ("password123", "too common")])
def test_a_weak_password_is_refused_beside_its_field(client: Client, password: str, refusal: str) -> None:
    answer = client.post(reverse("own_password"), {**POSTED, "password": password})
    assert refusal in text(answer)
    assert password not in answer.content.decode()
    assert not people.owner().has_usable_password()


def queries(client: Client, path: str) -> int:
    with CaptureQueriesContext(connection) as found:
        assert client.get(path).status_code == 200
    return len(found)


def more_stock(number: int) -> None:
    """A material of which a batch of its own needs more than there is, and which a batch in work has used."""
    made = factories.material(f"X{number}", unit="kg", on_hand=1, value=5, lead_days=9)
    version = factories.recipe(f"RX{number}", recipes.Line(made, Decimal(80), "g", "per_litre"))
    factories.batch(f"P{number}", version=version, start=date(2026, 1, 12), litres=Decimal(50))
    factories.skin(f"S{number}", date_in=date(2025, 12, 1))
    work = factories.batch(
        f"W{number}", version=version, start=date(2025, 12, 1), litres=Decimal(1), tags=[f"S{number}"]
    )
    batches.issue(batch=work, on=date(2025, 12, 2), amounts=[batches.Amount(made, Decimal("0.1"), "kg")])
    factories.skin(f"Z{number}", date_in=date(2025, 12, 1))


@pytest.mark.thorough
@pytest.mark.slow
def test_pages_ask_the_database_no_more_for_thirty_rows_than_for_one(client: Client) -> None:
    paths = ("/", "/books/?month=2025-12", "/books/year/2025/", "/books/worth/", "/setup/")
    more_stock(0)
    for path in paths:
        queries(client, path)
    one = {path: queries(client, path) for path in paths}
    for number in range(1, 30):
        more_stock(number)
        factories.person("helper")
    for path in paths:
        queries(client, path)  # of what is new, usual use is read once
    assert {path: queries(client, path) for path in paths} == one
