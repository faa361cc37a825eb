"""A passkey opens at its own site, for its own person, for one challenge; what is wrong with an answer is all one to it."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core import serializers

from inventory.errors import NotAllowed, Refused
from inventory.models import Passkey
from inventory.people import services as people
from inventory.people.passkeys import ceremony, selectors as reading, services as passkeys
from inventory.people.passkeys.ceremony import Unproven
from inventory.people.passkeys.rules import Site
from tests import factories
from tests.at_once import together
from tests.inventory.people.passkeys.device import Device, last_letter_changed

pytestmark = pytest.mark.django_db
HERE, THERE = Site("https", "books.example"), Site("https", "other.example")


def fresh() -> bytes:
    return secrets.token_bytes(32)


def asked_new(person: User, challenge: bytes, site: Site = HERE) -> dict[str, Any]:
    handle = passkeys.handle_of(person)
    known = [row.credential for row in reading.own(person)]
    found: dict[str, Any] = ceremony.ask_new(
        site=site, challenge=challenge, handle=handle, person=person.username, workshop="Hides", known=known
    )
    return found


def added(person: User, device: Device, *, site: Site = HERE, at: str = "", options_of: bytes | None = None) -> Passkey:
    challenge = fresh()
    options = asked_new(person, options_of or challenge, site)
    answer = device.make(options, at)
    handle = options["user"]["id"]
    return passkeys.add(person=person, name="The phone", handle=handle, answer=answer, challenge=challenge, site=site)


def shown(device: Device, *, site: Site = HERE, **told: str) -> User:
    challenge = fresh()
    return passkeys.use(
        answer=device.show(ceremony.ask(site=site, challenge=challenge), **told), challenge=challenge, site=site
    )


@pytest.fixture
def helper() -> User:
    return factories.person("helper")


@pytest.fixture
def phone(helper: User) -> Device:
    device = Device()
    added(helper, device)
    return device


def test_the_device_is_asked_to_keep_the_key_to_see_its_person_and_to_tell_no_maker(helper: User) -> None:
    options = asked_new(helper, b"c" * 32)
    assert options["authenticatorSelection"] == {
        "residentKey": "required",
        "requireResidentKey": True,
        "userVerification": "required",
    }
    assert options["attestation"] == "none"
    assert (options["rp"]["id"], options["timeout"]) == ("books.example", 300_000)
    assert helper.username not in ceremony.data(options["user"]["id"]).decode("latin-1")
    open_to_all = ceremony.ask(site=HERE, challenge=b"c" * 32)
    assert (open_to_all["userVerification"], open_to_all.get("allowCredentials")) == ("required", [])


def test_a_passkey_opens_and_says_when(helper: User, phone: Device) -> None:
    assert Passkey.objects.get().used_at is None
    assert shown(phone) == helper
    kept = Passkey.objects.get()
    assert kept.used_at is not None
    assert (kept.person, kept.site, kept.sign_count) == (helper, "books.example", 1)
    assert shown(phone) == helper


def test_the_second_device_knows_the_person_by_the_same_handle_and_is_told_of_the_first(helper: User) -> None:
    first, second = Device(), Device()
    added(helper, first)
    assert [each["id"] for each in asked_new(helper, fresh())["excludeCredentials"]] == list(first.keys)
    added(helper, second)
    assert Passkey.objects.values_list("handle", flat=True).distinct().count() == 1
    assert shown(first) == shown(second) == helper
    added(factories.person("helper"), Device())
    assert Passkey.objects.values_list("handle", flat=True).distinct().count() == 2


WRONG: dict[str, Callable[[Device], dict[str, Any]]] = {
    "another origin": lambda device: _set(device, origin="https://books.example.evil.example"),
    "plain http": lambda device: _set(device, origin="http://books.example"),
    "another port": lambda device: _set(device, origin="https://books.example:8443"),
    "another site": lambda device: {"at": "other.example"},
    "nobody looked at": lambda device: _set(device, verifies=False),
    "another's handle": lambda device: {"userHandle": ceremony.words(b"x" * 32)},
}


def _set(device: Device, **values: Any) -> dict[str, Any]:
    for name, value in values.items():
        setattr(device, name, value)
    return {}


@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_answer_opens_nothing_and_changes_nothing(phone: Device, wrong: str) -> None:
    told = WRONG[wrong](phone)
    with pytest.raises(Unproven):
        shown(phone, **told)
    kept = Passkey.objects.get()
    assert (kept.sign_count, kept.used_at) == (0, None)


def test_a_forged_signature_opens_nothing(phone: Device) -> None:
    challenge = fresh()
    answer = json.loads(phone.show(ceremony.ask(site=HERE, challenge=challenge)))
    forged = {**answer["response"], "signature": last_letter_changed(answer["response"]["signature"])}
    with pytest.raises(Unproven):
        passkeys.use(answer=json.dumps({**answer, "response": forged}), challenge=challenge, site=HERE)
    assert passkeys.use(answer=json.dumps(answer), challenge=challenge, site=HERE)


def test_an_answer_to_another_challenge_opens_nothing(phone: Device) -> None:
    answer = phone.show(ceremony.ask(site=HERE, challenge=fresh()))
    with pytest.raises(Unproven):
        passkeys.use(answer=answer, challenge=fresh(), site=HERE)


@pytest.mark.parametrize("count", [0, 4, 5])
def test_a_count_that_does_not_go_on_is_a_copy(helper: User, phone: Device, count: int) -> None:
    for _ in range(5):
        shown(phone)
    phone.count = count - 1 if count else 0
    phone.counts = count > 0
    with pytest.raises(Unproven):
        shown(phone)
    phone.count, phone.counts = 5, True
    assert shown(phone) == helper


def test_a_device_that_does_not_count_opens_again_and_again(helper: User) -> None:
    device = Device(counts=False)
    added(helper, device)
    assert [shown(device) for _ in range(3)] == [helper] * 3


def test_another_persons_key_under_this_one_s_name_opens_nothing(helper: User, phone: Device) -> None:
    stranger = Device()
    added(factories.person("owner"), stranger)
    mine, theirs = next(iter(phone.keys)), next(iter(stranger.keys))
    stranger.keys[mine] = stranger.keys.pop(theirs)
    with pytest.raises(Unproven):
        shown(stranger, name=mine)


def test_a_passkey_opens_at_the_host_it_was_made_at_only(helper: User, phone: Device) -> None:
    phone.origin = THERE.origin
    with pytest.raises(Unproven):
        shown(phone, site=THERE)
    with pytest.raises(Unproven):
        passkeys.use(
            answer=phone.show(ceremony.ask(site=THERE, challenge=b"c" * 32), at=THERE.name),
            challenge=b"c" * 32,
            site=THERE,
        )


@pytest.mark.parametrize("way", ["removed", "ended", "shut out", "no role"])
def test_who_has_no_business_here_gets_in_by_no_passkey(helper: User, phone: Device, way: str) -> None:
    if way == "removed":
        passkeys.remove(passkey=Passkey.objects.get(), by=helper)
    elif way == "ended":
        passkeys.end(person=helper, by=people.owner())
    elif way == "shut out":
        people.shut_out(person=helper)
    else:
        people.owner()
        helper.groups.clear()
    with pytest.raises(Unproven):
        shown(phone)


def test_who_is_shut_out_has_no_passkey_when_let_in_again(helper: User, phone: Device) -> None:
    people.shut_out(person=helper)
    people.change_role(person=helper, role="helper")
    assert not Passkey.objects.exists()


def test_a_person_who_is_inactive_by_another_way_gets_in_by_none(helper: User, phone: Device) -> None:
    User.objects.filter(pk=helper.pk).update(is_active=False)
    with pytest.raises(Unproven):
        shown(phone)


@pytest.mark.parametrize("wrong", ["origin", "site", "challenge", "not looked at"])
def test_a_key_made_elsewhere_is_not_kept(helper: User, wrong: str) -> None:
    device = Device(origin="https://evil.example") if wrong == "origin" else Device()
    device.verifies = wrong != "not looked at"
    with pytest.raises(Unproven):
        added(
            helper,
            device,
            at="evil.example" if wrong == "site" else "",
            options_of=fresh() if wrong == "challenge" else None,
        )
    assert not Passkey.objects.exists()


def test_one_key_is_kept_once_whoever_brings_it(helper: User) -> None:
    challenge, device = fresh(), Device()
    options = asked_new(helper, challenge)
    given = {"name": "Phone", "handle": options["user"]["id"], "answer": device.make(options), "challenge": challenge}
    passkeys.add(person=helper, site=HERE, **given)
    with pytest.raises(Refused, match="there already"):
        passkeys.add(person=factories.person("owner"), site=HERE, **given)


@pytest.mark.parametrize(
    "answer",
    [
        "",
        "null",
        "[]",
        "{}",
        "\x00",
        "NaN",
        "[" * 100_000,
        '{"id": 1}',
        '{"id": "💥"}',
        f'{{"id": "{"x" * 5000}"}}',
        '{"id": "%s", "rawId": "%s", "type": "public-key", "response": {}}',
    ],
)
def test_what_is_no_answer_opens_nothing_and_is_no_fault(helper: User, phone: Device, answer: str) -> None:
    answer = answer.replace("%s", next(iter(phone.keys)))
    with pytest.raises(Unproven):
        passkeys.use(answer=answer, challenge=fresh(), site=HERE)
    with pytest.raises(Unproven):
        passkeys.add(person=helper, name="x", handle="aaaa", answer=answer, challenge=fresh(), site=HERE)


def test_everybody_removes_their_own_and_the_owner_anybodys(helper: User, phone: Device) -> None:
    other = factories.person("helper")
    kept = Passkey.objects.get()
    with pytest.raises(NotAllowed):
        passkeys.remove(passkey=kept, by=other)
    with pytest.raises(NotAllowed):
        passkeys.end(person=helper, by=other)
    assert passkeys.end(person=other, by=other) == 0
    assert passkeys.end(person=helper, by=factories.person("owner")) == 1


def test_the_data_keep_what_opens_nothing(phone: Device) -> None:
    kept = serializers.serialize("json", Passkey.objects.all())
    secret = next(iter(phone.keys.values())).private.private_numbers().private_value
    assert ceremony.words(secret.to_bytes(32, "big")) not in kept
    assert str(secret) not in kept


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_four_that_send_one_answer_at_once_one_gets_in() -> None:
    person, device, challenge = factories.person("helper"), Device(), fresh()
    added(person, device)
    answer = device.show(ceremony.ask(site=HERE, challenge=challenge))
    answers = together(*[lambda: passkeys.use(answer=answer, challenge=challenge, site=HERE) for _ in range(4)])
    assert sorted(isinstance(each, Unproven) for each in answers) == [False, True, True, True]
    assert [each for each in answers if not isinstance(each, Unproven)] == [person]
