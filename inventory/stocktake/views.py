"""Stocktake of the shelf: the whole sheet entered blind, its differences looked at with their value, then posted together."""

from typing import Any

from inventory.ledger.models import Posting
from inventory.money import ZERO
from inventory.permits import Act, may
from inventory.stocktake import selectors as stocktake_read, services as stocktake
from inventory.stocktake.forms import CountSheetForm
from inventory.stocktake.services import Difference, entry
from inventory.web.rows import Compared
from inventory.web.tables import coins


class CountSheet(Compared):
    """The shelf: amounts by material."""

    title = "Stocktake"
    trail = ("shelf",)
    lead = (
        "Type what is really there. Leave open what was not counted; nothing there is 0. The books are not shown here."
    )
    template_name = "inventory/stocktake/sheet.html"
    form_class = CountSheetForm
    submit = "Show the differences"
    cancel_page = "shelf"

    def form_options(self) -> dict[str, Any]:
        return {"materials": list(stocktake_read.materials())}

    def entered(self, form: CountSheetForm) -> set[str]:
        return {"on", *_typed(form)}

    def enter(self, form: CountSheetForm) -> list[Posting]:
        return stocktake.post(
            on=form.cleaned_data["on"],
            counted=form.counted,
            seen=form.seen(),
            by=self.request.user,
            request_key=form.cleaned_data["request_key"],
        )

    def get_success_message(self) -> str:
        made: list[Posting] = self.made
        if not made:
            return "Everything that was counted agrees with the books. Nothing had to be posted."
        return f"The stocktake is posted: {len(made)} difference{'' if len(made) == 1 else 's'}, each with its reason."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(may_goods=may(self.request.user, Act.GOODS), **more)

    def look(self, form: CountSheetForm) -> list[Difference]:
        return stocktake.look(on=form.cleaned_data["on"], counted=form.counted, by=self.request.user)

    def shown(self, form: CountSheetForm, found: list[Difference]) -> dict[str, Any]:
        for each in found:
            form.fields[entry("reason", each.material)].required = True
        rows = [
            (each, form[entry("reason", each.material)], entry("seen", each.material), str(each.quantity))
            for each in found
        ]
        kept = [form[name] for name in _typed(form)]
        return {
            "rows": rows,
            "kept": [field for field in kept if field.value() not in (None, "")],
            "agreeing": len(form.counted) - len(found),
            "worth": coins(sum((each.value for each in found), ZERO)),
        }


def _typed(form: CountSheetForm) -> list[str]:
    """The names of the entries of the first step."""
    return [entry(said, each) for each in form.materials for said in ("count", "unit")]
