"""What is asked of a device and what it answers, in the form of the standard (Web Authentication). Touches no table.

Asked are: the key kept in the device so that no name need be typed, a finger, face or PIN each time, and no word on who made
the device. The challenge comes from the caller, who sees to it that each is answered once.
"""

import base64
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from inventory.errors import Refused
from inventory.people.passkeys.models import LONGEST_CREDENTIAL, LONGEST_KEY
from inventory.people.passkeys.rules import Site

# Milliseconds in which the browser waits for a finger: as long as a challenge is good.
PATIENCE = 5 * 60 * 1000


@dataclass(frozen=True)
class New:
    """A key that a device has made."""

    credential: str
    public_key: str
    sign_count: int


class Unproven(Refused):
    """The answer of a device proves nothing: another site's or workshop's, an old or forged one, or no answer at all."""

    def __init__(self) -> None:
        super().__init__(
            "What the device answered proves nothing here, or came too late. Press the button to try once more."
        )


def words(data: bytes) -> str:
    """Bytes as the standard writes them in text: base64url without padding."""
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def data(words: str) -> bytes:
    return base64.urlsafe_b64decode(words + "=" * (-len(words) % 4))


def credential(answer: str) -> str:
    """The name of the key in a device's answer, not yet proven; nothing where there is none."""
    try:
        found = json.loads(answer)
    except (ValueError, RecursionError):
        return ""
    name = found.get("id") if isinstance(found, dict) else None
    return name if isinstance(name, str) and len(name) <= LONGEST_CREDENTIAL and name.isascii() else ""


def ask_new(*, site: Site, challenge: bytes, handle: str, person: str, workshop: str, known: Iterable[str]) -> Any:
    """What a device is asked to make a key; `known` are those that a person has, so that no device holds two."""
    # The library loads cryptography: only where a passkey is made or used.
    from webauthn import generate_registration_options
    from webauthn.helpers import options_to_json_dict, structs

    selection = structs.AuthenticatorSelectionCriteria(
        resident_key=structs.ResidentKeyRequirement.REQUIRED,
        user_verification=structs.UserVerificationRequirement.REQUIRED,
    )
    options = generate_registration_options(
        rp_id=site.name,
        rp_name=workshop,
        user_id=data(handle),
        user_name=person,
        challenge=challenge,
        timeout=PATIENCE,
        attestation=structs.AttestationConveyancePreference.NONE,
        authenticator_selection=selection,
        exclude_credentials=[structs.PublicKeyCredentialDescriptor(id=data(each)) for each in known],
    )
    return options_to_json_dict(options)


def made(*, answer: str, site: Site, challenge: bytes) -> New:
    """The key that a device made for this challenge at this site."""
    # As above.
    from webauthn import verify_registration_response

    try:
        found = verify_registration_response(
            credential=answer,
            expected_challenge=challenge,
            expected_rp_id=site.name,
            expected_origin=site.origin,
            require_user_verification=True,
        )
    except Exception as fault:  # whatever a stranger's bytes do to the reader of them, they prove nothing
        raise Unproven from fault
    new = New(words(found.credential_id), words(found.credential_public_key), found.sign_count)
    if len(new.credential) > LONGEST_CREDENTIAL or len(new.public_key) > LONGEST_KEY:
        raise Unproven
    return new


def ask(*, site: Site, challenge: bytes) -> Any:
    """What a device is asked to show that it holds a key of this site; which one, its person chooses there."""
    # As above.
    from webauthn import generate_authentication_options
    from webauthn.helpers import options_to_json_dict, structs

    options = generate_authentication_options(
        rp_id=site.name,
        challenge=challenge,
        timeout=PATIENCE,
        user_verification=structs.UserVerificationRequirement.REQUIRED,
    )
    return options_to_json_dict(options)


def shown(*, answer: str, site: Site, challenge: bytes, public_key: str, handle: str, sign_count: int) -> int:
    """How often the device has used the key now, proven by it for this challenge at this site. A count that does not go on
    is that of a key which somebody has copied; devices that do not count say 0 always."""
    # As above.
    from webauthn import verify_authentication_response
    from webauthn.helpers import parse_authentication_credential_json

    try:
        given = parse_authentication_credential_json(answer)
        found = verify_authentication_response(
            credential=given,
            expected_challenge=challenge,
            expected_rp_id=site.name,
            expected_origin=site.origin,
            credential_public_key=data(public_key),
            credential_current_sign_count=sign_count,
            require_user_verification=True,
        )
    except Exception as fault:  # as above
        raise Unproven from fault
    if given.response.user_handle != data(handle):
        raise Unproven
    return found.new_sign_count
