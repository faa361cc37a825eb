"""Columns that the lists upstairs share."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

DAY = "j M Y"


class TagColumn(tables.Column):  # type: ignore[misc]
    """The number or code of a row, tied to its page by the page's name."""

    def __init__(self, page: str, **options: Any) -> None:
        self.page = page
        super().__init__(**options)

    def render(self, value: str) -> SafeString:
        return format_html('<a class="tag" href="{}">{}</a>', reverse(self.page, args=[value]), value)
