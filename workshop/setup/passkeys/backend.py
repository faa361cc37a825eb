"""Sign-in by a passkey as Django knows sign-ins, so that wrong answers count, and shut the name, as wrong passwords do."""

from typing import Any

from django.contrib.auth.backends import BaseBackend
from django.contrib.auth.models import User
from django.http import HttpRequest

from inventory.people.passkeys import services as passkeys
from inventory.people.passkeys.ceremony import Unproven


class PasskeyBackend(BaseBackend):
    def authenticate(  # type: ignore[override]  # Django passes over a backend that does not take what was given
        self, request: HttpRequest | None, username: str | None = None, *, passkey: dict[str, Any]
    ) -> User | None:
        """`passkey`: what the service takes. The name is the one that wrong answers are counted under."""
        try:
            return passkeys.use(**passkey)
        except Unproven:
            return None
