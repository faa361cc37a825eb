"""What a page says of a paper before it is printed: its language, and that nobody has checked the translation yet."""

from typing import Any

from django import template
from django.template.context import Context

from costing.models import Customer
from inventory.base import selectors as workshop
from inventory.base.languages import ENGLISH, NAMES
from inventory.base.wording import selectors as wording
from inventory.permits import Act, may

register = template.Library()


@register.inclusion_tag("parts/printed_in.html", takes_context=True)
def printed_in(context: Context, customer: Customer | None = None, paper: str = "") -> dict[str, Any]:
    """Of papers of the customer, or of those that go to nobody named. English is not told: it came whole.

    `paper`: the address of one that can be printed in any language; the others are then offered.
    """
    language = (customer.language if customer else "") or workshop.current().paper_language
    request = context.get("request")
    told = language != ENGLISH
    checked = wording.checked() if told or paper else {}
    return {
        "language": language,
        "name": NAMES[language] if told else "",
        "unchecked": told and language not in checked,
        "owner": request is not None and may(request.user, Act.SETUP),
        "paper": paper,
        "mark": "" if paper.endswith("?") else "&" if "?" in paper else "?",
        "others": [
            {"code": code, "name": name, "unchecked": code != ENGLISH and code not in checked}
            for code, name in NAMES.items()
            if paper and code != language
        ],
    }
