"""Moving in: one page that leads to everything that is taken over from the old books, and a page for each of it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.make.finishing.openings import services as openings
from costing.models import Series
from costing.sell.customers import services as customers
from costing.sell.payments import services as payments
from costing.sell.payments.debtors import services as debtors
from costing.sell.sales.numbering import services as numbering
from inventory.articles.services import Piece
from inventory.money import ZERO
from inventory.permits import Act, require
from inventory.skins import services as skins
from inventory.web.trail import frame
from inventory.web.views import EntryView
from workshop.setup.moving.forms import DebtorForm, DepositForm, NumbersForm, PieceForm, SkinForm


@require_safe
def moving_in(request: HttpRequest) -> HttpResponse:
    require(request.user, Act.GOODS)
    return render(request, "workshop/setup/moving/moving_in.html", frame("Moving in", ("setup",)))


class _MovingIn(EntryView):
    trail = ("setup", "moving_in")
    cancel_page = "moving_in"


class PieceMoved(_MovingIn):
    form_class = PieceForm
    title = "A finished piece"
    lead = "It counts as opening stock, and neither its money nor its hours are of this year."
    needs = Act.PRICES
    submit = "Add piece"
    success_message = "{self.made.number} is in stock."

    def enter(self, form: PieceForm) -> object:
        given = form.cleaned_data
        piece = Piece(
            number=given["number"],
            kind=given["kind"],
            method=given["method"],
            area=form.cm2(),
            grade=given["grade"],
            list_price=given["list_price"],
            place=given["place"],
        )
        return openings.take_over(
            piece=piece,
            on=given["on"],
            species=given["species"],
            cost=given["cost"],
            minutes=form.minutes(),
            by=self.request.user,
            request_key=given["request_key"],
        )


class SkinMoved(_MovingIn):
    form_class = SkinForm
    title = "A skin, raw or begun"
    lead = "It counts as opening stock, and neither its money nor its hours are of this year."
    needs = Act.SHED
    submit = "Add skin"
    success_message = "{self.made.tag} is in stock."
    called = {"price": "cost", "date_in": "on", "minutes_before": "hours"}

    def enter(self, form: SkinForm) -> object:
        given = form.cleaned_data
        details = skins.Details(
            species=given["species"],
            date_in=given["on"],
            price=given["cost"],
            green_weight=form.grams(),
            place=given["place"],
            opening=True,
            minutes_before=form.minutes(),
        )
        return skins.take_in(tag=given["tag"], details=details, by=self.request.user, request_key=given["request_key"])


class DebtorMoved(_MovingIn):
    form_class = DebtorForm
    title = "An unpaid invoice"
    lead = "It is owed to you as before. When it is paid, money comes in; it is no sale of these books."
    needs = Act.BOOKS
    submit = "Add invoice"
    success_message = "{self.made.number} is owed to you."

    def enter(self, form: DebtorForm) -> object:
        given = self.sent(form)
        customer = customers.named(name=given["customer"], by=self.request.user)
        return debtors.take_over(**{**given, "customer": customer, "tax_percent": given["tax_percent"] or ZERO})


class DepositMoved(_MovingIn):
    form_class = DepositForm
    title = "A deposit held"
    lead = "Your old books took the money in. It is owed until the job is handed over."
    needs = Act.BOOKS
    submit = "Add deposit"
    success_message = "{self.made.number} holds it for {self.made.job.number}."

    def enter(self, form: DepositForm) -> object:
        return payments.receive(**self.sent(form), opening=True)


class NumbersMoved(_MovingIn):
    form_class = NumbersForm
    title = "Next numbers"
    lead = "So that your numbers go on without a gap. Each can be set until its first paper here."
    needs = Act.SETUP
    success_message = "The numbers go on from there."

    def form_options(self) -> dict[str, Any]:
        there = {row.kind: row for row in Series.objects.all()}
        return {"rows": {kind: there.get(kind) or numbering.usual(kind) for kind in Series.Kind.values}}

    def enter(self, form: NumbersForm) -> object:
        return numbering.begin(at=form.counts(), by=self.request.user)
