"""Help: what is where, the search and its key, what to do without a signal, and the words that need a meaning."""

import tomllib
from functools import lru_cache
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from inventory.web.trail import page

WORDS = Path(__file__).resolve().parent.parent / "words.toml"


@lru_cache(maxsize=1)
def words() -> tuple[tuple[str, str], ...]:
    """Word and meaning of what comes from the trade, from bookkeeping, or from us; what every web page says explains itself."""
    listed = tomllib.loads(WORDS.read_text("utf-8"))["word"]
    return tuple(sorted((each["word"], each["meaning"]) for each in listed if each["from"] != "web"))


@require_safe
def help_page(request: HttpRequest) -> HttpResponse:
    return page(request, "workshop/help/help.html", "Help", words=words())
