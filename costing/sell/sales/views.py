"""Pages of sales: the list, selling in few taps, one paper with its money."""

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.cost.rates import selectors as rates
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales import selectors as sales_read, services as sales
from costing.sell.sales.forms import BEFORE, NOW, SaleFinder, SaleForm
from costing.sell.sales.invoices import rules as invoices, selectors as invoices_read
from costing.sell.sales.models import Sale
from costing.sell.sales.numbering import selectors as numbering
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.forms import LineForm
from costing.sell.sales.offers.picking.forms import PickForm
from costing.sell.sales.offers.selectors import Thing
from costing.sell.sales.offers.services import Item
from costing.sell.sales.tables import SaleTable
from costing.sell.sales.terms import selectors as terms
from inventory import formats, units
from inventory.articles import selectors as pieces
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.ledger.services import Draw
from inventory.models import Kind, Material, Posting
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.web.forms import MOST, as_typed
from inventory.web.lists import ListPage, asked_number
from inventory.web.questions import Odd
from inventory.web.trail import above, page
from inventory.web.views import EntryView

ADD, LOOK = "more", "look"  # buttons that sell nothing


class SaleList(ListPage):
    table_class = SaleTable
    finder_class = SaleFinder
    rows = staticmethod(sales_read.listed)
    title = "Sales"
    lead = "Papers are never changed; a mistake is credited."
    links = ("owed", "fairs", "jobs", "customers", "payments", "expenses", "hours")
    action = ("Sell", "sale_new")
    needs = Act.PRICES
    empty_title = "Nothing sold yet"
    empty_text = (
        "Sell a piece here: its list price is filled in, and beside it stands what an hour earns at that price."
    )

    def prepare(self, table: Any) -> None:
        table.totals = sales_read.totals(table.data.data)
        table.today = workshop.today()

    def get_links(self) -> list[tuple[str, str]]:
        galleries = [(row.name, reverse("gallery", args=[row.place_id])) for row in offers.ways() if row.place_id]
        return [*super().get_links(), *galleries]


class SaleNew(EntryView):
    """`?piece=`, `?job=` and `?skin=` name the things, once for each; without any they are picked first. `?find=` looks one up.

    `?channel=`, `?fair=` and `?customer=` (ids) choose beforehand; `?other=1` sells something that is no piece.
    """

    form_class = SaleForm
    template_name = "costing/sell/sales/new.html"
    title = "Sell"
    trail = ("sales",)
    submit = "Record sale"
    cancel_page = "sales"
    opens_made = True
    made: Sale
    things: list[Thing]
    rows: dict[str, int]
    lines: list[LineForm]
    missing = ""

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        asked = request.GET
        named = (("piece", offers.ARTICLE), ("job", offers.JOB), ("skin", offers.SKIN))
        self.things, self.rows = [], {}
        self.add([f"{kind}:{name}" for field, kind in named for name in asked.getlist(field)][:MOST])
        if words := asked.get("find", "").strip():
            self.look_up(words)
        if self.missing or not (self.things or asked.get("other")):
            return self.pick()
        self.lines = [self.line(thing) for thing in self.things]
        return super().get(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        sent = request.POST
        named = {row: sent[name] for row in range(MOST) if (name := f"line-{row}-thing") in sent}
        # A key's first row is its own, whatever else was sent: a price must never be read from another thing's row.
        self.rows = {key: row for row, key in reversed(named.items())}
        self.things = offers.things(list(named.values()))
        if ADD in sent or LOOK in sent:
            return self.again(self.look_up(sent.get("find", "")) if ADD in sent else [])
        self.lines = [self.line(thing, data=sent) for thing in self.things]
        form = self.get_form()
        valid = [form.is_valid(), *(line.is_valid() for line in self.lines)]
        if all(valid):
            return self.form_valid(form)
        for line in self.lines:
            for name, errors in line.errors.items():
                for error in errors:
                    form.add_error(None, f"{line.about.name}, {line[name].label.lower()}: {error}")
        return self.form_invalid(form)

    def add(self, keys: Sequence[str]) -> list[Thing]:
        """The things of these keys that are not there yet, each in a row of its own below all others."""
        added = offers.things([key for key in keys if key not in self.rows])
        first = max(self.rows.values(), default=-1) + 1
        self.rows |= {thing.key: row for row, thing in enumerate(added, start=first)}
        self.things += added
        return added

    def look_up(self, words: str) -> list[Thing]:
        """What a number or a tag names, added."""
        found = offers.keys_for(words)
        if not found:
            self.missing = (
                f"Nothing is numbered or tagged {words.strip()!r}. Look it up in Articles."
                if words.strip()
                else "Type a number or a tag first."
            )
        return self.add(found)

    def again(self, added: Sequence[Thing]) -> HttpResponse:
        """The page as typed, with what was added; nothing is judged and nothing written."""
        sent, new = self.request.POST, {thing.key for thing in added}
        self.lines = [
            self.line(
                thing,
                initial={}
                if thing.key in new
                else as_typed(LineForm.base_fields, sent, f"line-{self.rows[thing.key]}"),
            )
            for thing in self.things
        ]
        return self.render_to_response(self.get_context_data(form=self.form_as_typed(sent)))

    def pick(self) -> HttpResponse:
        words = self.request.GET.get("find", "").strip()
        gallery = (
            Channel.objects.filter(pk=asked_number(self.request, "channel") or 0)
            .values_list("place", flat=True)
            .first()
        )
        form = PickForm(initial={"find": words}, words=words, place=gallery)
        return page(
            self.request,
            "costing/sell/sales/offers/pick.html",
            self.title,
            self.trail,
            form=form,
            missing="" if form.found else self.missing,
            kept=[
                (name, self.request.GET[name]) for name in ("channel", "fair", "customer") if self.request.GET.get(name)
            ],
        )

    @cached_property
    def taxed(self) -> bool:
        return terms.terms().taxed

    def line(self, thing: Thing, **given: Any) -> LineForm:
        only = len(self.things) == 1
        return LineForm(row=self.rows[thing.key], about=thing, taxed=self.taxed, only=only, **given)

    def form_options(self) -> dict[str, Any]:
        return {"taxed": self.taxed}

    def chosen(self) -> Channel | None:
        """The channel asked for by address, the gallery that has a piece, else the usual one."""
        if wanted := asked_number(self.request, "channel"):
            return get_object_or_404(Channel, pk=wanted)
        held = next((thing.held_by for thing in self.things if thing.held_by), None)
        if held or any(thing.kind != offers.ARTICLE for thing in self.things):
            return held
        return next((row for row in offers.ways() if row.usual), None)

    def get_initial(self) -> dict[str, Any]:
        channel = self.chosen()
        job = next((thing.job for thing in self.things if thing.job), None)
        buyer = job.customer_id if job else asked_number(self.request, "customer")
        return {
            **sales_read.habit(channel),
            **({"kind": Sale.Kind.INVOICE, "customer": buyer} if buyer else {}),
            "channel": channel.pk if channel else None,
            "keeps": True,
            "withheld": bool(channel and channel.place_id),
            "fair": asked_number(self.request, "fair") or None,
        }

    def odd(self, form: SaleForm) -> Iterable[Odd]:
        for line in self.lines:
            price = line.price()
            if line.about.article is not None and price is not None and not line.left_out:
                box = line["asked"] if line.cleaned_data["taken"] is None else line["taken"]
                yield box, pieces.odd_sale(line.about.article, price)
        yield form["on"], numbering.odd_day(form.cleaned_data["kind"], form.cleaned_data["on"])

    def enter(self, form: SaleForm) -> Sale:
        found = form.cleaned_data
        as_sent = ("on", "kind", "customer", "channel", "fair", "note", "request_key")
        return sales.sell(
            items=self.items(found),
            paid=[Paid(found["amount"], found["how"])] if found["how"] else [],
            spent=form.spent(),
            box=self.box(form),
            by=self.request.user,
            **{name: found[name] for name in as_sent if name in found},
        )

    def items(self, found: dict[str, Any]) -> list[Item]:
        sold = [line for line in self.lines if not line.left_out]
        items = [line.item() for line in sold] + [charge for line in sold if (charge := line.stored()) is not None]
        if found["other"]:
            items.append(
                Item("other", found["other_price"], words=found["other"], relief=found.get("other_relief", ""))
            )
        if found["postage"]:
            items.append(Item("postage", found["postage"], relief=found.get("postage_relief", "")))
        if found["tip"]:
            rate = rates.at(found["on"]).vat_percent if found.get("tip_taxed") else None
            items.append(Item("tip", found["tip"], tax_percent=rate))
        return items

    def box(self, form: Any) -> Posting | Draw | None:
        """Whether it is still there the service judges: a form sent twice names what its first sending took."""
        way, _, name = form.cleaned_data["box"].partition(":")
        found: Posting | Draw | None = None
        if way == BEFORE and name.isascii() and name.isdigit():
            found = Posting.objects.filter(pk=name, kind=Kind.SOLD).first()
        elif way == NOW and (material := Material.objects.filter(code=name, base="piece").first()):
            found = Draw(material, units.to_base(form.cleaned_data["boxes"], "piece", material.base))
        if way and found is None:
            raise Refused("That box is not on the shelf and was not taken before. Choose another.", field="box")
        return found

    def point(self, form: forms.Form, refusal: Refused) -> None:
        """Beside the line it speaks of, where it is of one or there is only one; else beside the field of the paper."""
        field = "asked" if refusal.field in ("article", "job", "skin", "quantity") else refusal.field
        sold = [line for line in self.lines if not line.left_out]
        at = 0 if refusal.row is None and len(self.lines) == 1 else refusal.row
        if at is not None and at < len(sold) and field in sold[at].fields:
            sold[at].add_error(field, formats.dated(str(refusal)))
        of_buyer = (refusal.field or "").split(".")[0] == "buyer"
        super().point(form, Refused(str(refusal), field="customer" if of_buyer else refusal.field))

    def get_success_message(self) -> str:
        return f"{self.made.number} is recorded: {figures.money(self.made.gross)}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        form = context["form"]
        on = offers.terms(form["channel"].value(), form["customer"].value(), keeps=bool(form["keeps"].value()))
        for line in self.lines:
            piece, price = line.about.piece, line.price()
            line.haggling = offers.haggling(piece, on, price) if piece else None
            line.sums = None if piece else offers.sums(on, price)
        return {
            **context,
            "lines": self.lines,
            "missing": self.missing,
            "find": self.request.POST.get("find", "") if self.missing else "",
            "may_prices": may(self.request.user, Act.PRICES),
        }


@require_safe
def sale(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(sales_read.found(number))
    today = workshop.today()
    lines = list(row.lines.all())
    return page(
        request,
        "costing/sell/sales/sale.html",
        f"{row.get_kind_display()} {row.number}",
        above(row),
        sale=row,
        lines=lines,
        stands=sales_read.stands(row, today),
        taxed=invoices_read.summary(row, row.lines.all()) if row.taxed else None,
        today=today,
        whole=any(line.standing for line in lines),
        discounts=any(line.discount for line in lines),
        may_prices=may(request.user, Act.PRICES),
        may_books=may(request.user, Act.BOOKS),
        untaxed_words=row.seller.get("untaxed_words") or invoices.NO_TAX_WORDS,
    )
