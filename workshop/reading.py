"""Who may read which address: the money side is shut to those who only work in the shed.

Owns the table of addresses; what a page shows beside that is told by `may_see_money` in its template. Writing is judged where
entries are written. A new address below one of these is shut from the start.
"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import ResolverMatch

from inventory.errors import NotAllowed
from inventory.permits import Act, require

# Whole branches of addresses, and single pages of branches that stay open.
MONEY_SIDE = (
    *(
        "books/",
        "sales/",
        "payments/",
        "expenses/",
        "owing/",
        "accounts/",
        "hours/",
        "fairs/",
        "reminders/",
        "write-offs/",
    ),
    *("prices/", "what-if/", "setup/rates/", "setup/channels/", "setup/costs/", "setup/terms/", "setup/series/"),
)
MONEY_PAGES = frozenset(
    {
        *("variances", "gallery", "gallery_pdf", "statement", "statement_pdf", "statement_csv"),
        *("article_finish", "article_price", "article_regrade", "article_out", "loss_spread", "loss_write_off"),
        *("job_new", "job_edit", "job_give_up", "job_goes_on"),
    }
)


class MoneySide:
    """Before a view is called: 403 for those who may not read what stands there; Sales begins with the jobs for them."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, _view: object, _args: object, _options: object) -> HttpResponse | None:
        if request.resolver_match is None or not is_money(request.resolver_match):
            return None
        try:
            require(request.user, Act.MONEY)
        except NotAllowed as refusal:
            if request.resolver_match.url_name == "sales":
                return redirect("jobs")
            return render(request, "403.html", {"refusal": str(refusal)}, status=403)
        return None


def is_money(match: ResolverMatch) -> bool:
    """Whether the address stands on the money side.

    >>> is_money(ResolverMatch(print, (), {}, url_name="results_file", route="^books/results/x"))
    True
    """
    return match.url_name in MONEY_PAGES or match.route.lstrip("^").startswith(MONEY_SIDE)
