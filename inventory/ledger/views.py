"""One entry of the stock ledger with its movements, and the way to reverse it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inventory import units
from inventory.errors import Refused
from inventory.ledger import selectors as ledger_read, services as ledger
from inventory.ledger.models import Kind, Posting
from inventory.money import ZERO
from inventory.permits import may
from inventory.web.reversals import ON, REASON, Reversal
from inventory.web.trail import Step, above, address, page


def name(posting: Posting) -> str:
    """The entry's heading: Delivery, Reversed: delivery."""
    kind = posting.get_kind_display()
    return f"Reversed: {kind.lower()}" if posting.reverses_id else kind


def open_to_reversal(posting: Posting) -> bool:
    """Whether this page offers to reverse the entry. What was added to a batch is reversed on its batch, skin or frame,
    where the cost leaves the skins with it."""
    return posting.kind != Kind.USE and not posting.reverses_id and not hasattr(posting, "reversed_by")


@require_safe
def posting(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ledger_read.postings(), pk=pk)
    moved = list(ledger_read.movements(row))
    return page(
        request,
        "inventory/ledger/posting.html",
        name(row),
        above(row),
        posting=row,
        lines=[(each, ledger_read.movement_cost(each)) for each in moved],
        total=sum((each.value for each in moved), ZERO),
        put_in_work=row.kind == Kind.USE,
        may_reverse=open_to_reversal(row) and may(request.user, ledger.reversed_by(row)),
    )


class PostingReversal(Reversal[Posting]):
    things = staticmethod(ledger_read.postings)
    template_name = "inventory/ledger/reverse.html"
    asks = (ON, REASON)
    opens_made = True
    success_message = "The entry of {self.thing.on} is reversed; both stay in the books, linked."

    def get_title(self) -> str:
        return f"Reverse: {name(self.thing).lower()}"

    def get_trail(self) -> tuple[Step, ...]:
        return (*above(self.thing), (name(self.thing), address(self.thing)))

    def enter(self, form: Any) -> Posting:
        if self.thing.kind == Kind.USE:
            raise Refused(
                "This was added to a batch or a skin. Reverse it there, so that the cost leaves the skins, too."
            )
        return ledger.reverse(posting=self.thing, **self.sent(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        back = [
            (
                line.material.name,
                "out" if line.quantity > 0 else "in",
                units.show(abs(line.quantity), line.material.unit),
                abs(line.value),
            )
            for line in ledger_read.movements(self.thing)
        ]
        return super().get_context_data(posting=self.thing, back=back, **more)
