"""Asks list, page, label, command, calendar, mail and shopping list about every material: one day, one level, one answer."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from typing import Any

from django.core.management import call_command
from icalendar import Calendar

from inventory import formats
from inventory.base import selectors as workshops
from inventory.foresight import words
from inventory.foresight.shopping import selectors as shopping
from inventory.models import Material, Place
from tests.inventory.pages import signed_in, text
from workshop.answers.mail.digest import digest
from workshop.calendar import feed
from workshop.documents.records.shelves import shelf_label

ORDERS = ("order_now", "order_by", "short")


def asked() -> list[dict[str, Any]]:
    out = StringIO()
    call_command("restock", "--all", "--json", stdout=out)
    found: list[dict[str, Any]] = json.loads(out.getvalue())["alerts"]
    return found


def plain(said: str) -> str:
    return said.replace("\u202f", " ").replace("\u00a0", " ")


def one_answer() -> None:
    today = workshops.today()
    client, found = signed_in(), asked()
    page_of_list = text(client.get("/shelf/?per_page=100"))
    first = text(client.get("/"))
    found_list, mail = shopping.shopping_list(today), digest(today)
    in_list = {row.line.code: row.line for basket in found_list.baskets for row in basket.now}
    told = {
        str(event["SUMMARY"]): event["DTSTART"].dt
        for event in Calendar.from_ical(feed.write(today, datetime(2025, 1, 1, tzinfo=UTC))).walk("VEVENT")
    }
    for each in found:
        material = Material.objects.get(code=each["material"])
        by = date.fromisoformat(each["order_by"]) if each["order_by"] else None
        page = text(client.get(f"/shelf/{material.code}/"))
        if by and by <= today + timedelta(days=words.YEAR) and each["state"] != "short":
            assert f"order by {formats.day(by)}" in page, material
        pressing = each["state"] in ORDERS and each["advice"]["quantity"] != "0"
        assert (material.code in in_list) is pressing, material
        if not pressing:
            continue
        assert by is not None
        assert in_list[material.code].order_by == by
        action = plain(each["action"])
        assert action in page
        assert f"{material.name}</b></a>: {action}" in first
        assert mail is not None
        assert f"{material.name}: {action}." in mail.body
        assert material.name in page_of_list
        (day,) = [day for said, day in told.items() if f" of {material.name[:1].lower()}{material.name[1:]}" in said]
        assert day == max(today, by)
    by_name = {each["name"]: each for each in found}
    for place in Place.objects.filter(materials__isnull=False).distinct():
        for kept in shelf_label(place.name).kept:
            assert bool(kept.reorder_at) is (by_name[kept.name]["reorder_point"] != "0"), kept
