"""Every address of the resolver, asked and sent what nobody should: no answer is a fault, and each says something.

The suite sends some two hundred requests, a thorough run two thousand, and `TAWERY_FUZZ=50000` as many as are asked for.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from copy import copy
from functools import cache
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.http import HttpResponse, QueryDict
from django.test import Client
from hypothesis import HealthCheck, given, settings as hypothesis_settings, strategies as st

from inventory.base import selectors as workshop
from tests.inventory.pages import signed_in
from tests.thorough import THOROUGH
from tests.workshop.fuzz import values
from tests.workshop.fuzz.forms import Sheet, asked, sheets
from tests.workshop.test_security import NAMES, address

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut", "aside"), pytest.mark.slow]

SHORT, LONG = 130, 2000  # the pages whose forms are read come on top
ASKED = int(os.environ.get("TAWERY_FUZZ") or (LONG if THOROUGH else SHORT))
UNDER_WAY = hypothesis_settings(
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large],
)
FILES = (
    b"",
    b"\x00",
    b"not a picture",
    b"\xff\xd8\xff\xe0broken",
    b"%PDF-1.7 broken",
    b"a;b\n\x00;2\n",
    b"a,b\n1,2\n",
    "ä,ß\n".encode("latin-1"),
)


@pytest.fixture
def browser(owner: User) -> Client:
    """Of somebody who may do everything; a fault comes out as the exception that it is."""
    return signed_in(owner)


@cache
def shown(path: str) -> tuple[tuple[Sheet, ...], tuple[str, ...]]:
    """The forms that are sent from a page to itself, and what it asks by its address. The forms of the frame (search, sign out) are
    asked about at their own address."""
    answer = signed_in(User.objects.get(username="owner")).get(path)
    if not answer["Content-Type"].startswith("text/html"):
        return (), ()
    page = answer.content.decode()
    return tuple(each for each in sheets(page) if each.method == "post" and each.action in ("", path)), asked(page)


def attack(browser: Client, path: str, data: st.DataObject) -> None:
    """One request to the address, taken back afterwards."""
    query = data.draw(values.beside(shown(path)[1]), "query")
    method = data.draw(st.sampled_from(["get", "post"]), "method")
    send(browser, path, query, dict(entries(path, data)) if method == "post" else None)


def send(browser: Client, path: str, query: Mapping[str, list[str]], sent: dict[str, Any] | None) -> None:
    """Judge what is answered; nothing of it stays."""
    behind = QueryDict(mutable=True)
    for key, given_values in query.items():
        behind.setlist(key, given_values)
    whole = f"{path}?{behind.urlencode()}" if query else path
    cookies = copy(browser.cookies)
    with transaction.atomic():
        answer = browser.get(whole) if sent is None else browser.post(whole, sent)
        judge(answer, f"{'get' if sent is None else 'post'} {whole}")
        transaction.set_rollback(True)
    workshop.forget()
    browser.cookies = cookies


def sweep(browser: Client, path: str) -> None:
    """The worst in all that the page asks by its address, and in each entry of its forms by itself, the others as they stand."""
    found, by_address = shown(path)
    for worst in values.WORST:
        send(browser, path, {key: [worst] for key in {*by_address, *values.KEYS}}, None)
    for sheet in found:
        for at, name in enumerate(sheet.kinds):
            for worst in (*values.WORST[:2], values.WORST[2 + at % 2]):
                send(browser, path, {}, {**dict(sheet.entries), name: worst})


def entries(path: str, data: st.DataObject) -> Iterator[tuple[str, Any]]:
    """The form as it stands on the page, with some of its entries odd, left out or sent twice."""
    found = shown(path)[0]
    sheet = data.draw(st.sampled_from(found), "form") if found else Sheet("", "post")
    as_shown: dict[str, Any] = dict(sheet.entries)
    for key in data.draw(st.lists(st.sampled_from(sheet.names), min_size=1, max_size=4), "odd") if sheet.names else ():
        file = key in ("photo", "bill", "file") and data.draw(st.booleans(), "file")
        as_shown[key] = (
            SimpleUploadedFile(
                data.draw(st.sampled_from(["a.jpg", "b.csv", "c.xlsx", "d"])), data.draw(st.sampled_from(FILES))
            )
            if file
            else data.draw(st.one_of(values.sendable, st.lists(values.sendable, max_size=3)), key)
        )
    as_shown |= data.draw(values.beside(()), "more")
    yield from as_shown.items()


def judge(answer: HttpResponse, asked: str) -> None:
    assert answer.status_code < 500, asked
    if answer.status_code == 400:
        assert "<h1>" in answer.content.decode(), asked


if THOROUGH or ASKED != SHORT:

    @pytest.mark.parametrize("name", NAMES)
    def test_what_brought_pages_down_before_does_so_at_no_address(browser: Client, name: str) -> None:
        sweep(browser, address(name))

    @pytest.mark.parametrize("name", NAMES)
    @given(data=st.data())
    @hypothesis_settings(UNDER_WAY, max_examples=max(1, -(-ASKED // len(NAMES))))
    def test_no_request_to_this_address_is_a_fault(browser: Client, name: str, data: st.DataObject) -> None:
        attack(browser, address(name), data)

else:

    @given(name=st.sampled_from(NAMES), data=st.data())
    @hypothesis_settings(UNDER_WAY, max_examples=ASKED)
    def test_no_request_to_any_address_is_a_fault(browser: Client, name: str, data: st.DataObject) -> None:
        attack(browser, address(name), data)
