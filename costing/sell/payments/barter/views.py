"""The page on which a sale is paid with goods or services."""

from typing import Any

from costing.sell.payments import selectors as payments
from costing.sell.payments.barter import services as barter
from costing.sell.payments.barter.forms import BarterForm
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.permits import Act
from inventory.templatetags import figures
from inventory.web.views import About


class SaleBarter(About[Sale]):
    things = staticmethod(payments.settled)
    form_class = BarterForm
    title = "Barter for {self.thing}"
    lead = (
        "Paid with goods or services instead of money. Both sides are written at the agreed value, and no money moves."
    )
    submit = "Record barter"
    needs = Act.BOOKS
    called = {"pack_quantity": "quantity", "ref": "words"}

    def get_initial(self) -> dict[str, Any]:
        return {"amount": payments.balance(self.thing, workshop.today()).left or None}

    def enter(self, form: BarterForm) -> Payment:
        found = form.cleaned_data
        said = {name: found[name] for name in ("amount", "on", "words", "request_key")}
        return barter.trade(sale=self.thing, by=self.request.user, **said, **form.traded())

    def get_success_message(self) -> str:
        value = figures.money(self.made.amount)
        skins = self.request.POST.get("kind") == barter.SKINS
        return f"{self.made.number}: {value} by barter." + (
            f" Add the skins now, for {value} in total." if skins else ""
        )
