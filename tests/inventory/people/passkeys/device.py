"""A device that holds passkeys, in software: it answers as the standard asks (Web Authentication Level 3, sections 5 to 7)."""

from __future__ import annotations

import hashlib
import json
import secrets
from dataclasses import dataclass, field
from typing import Any

import cbor2
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec

from inventory.people.passkeys.ceremony import data, words

PRESENT, VERIFIED, HOLDS_KEY = 0x01, 0x04, 0x40


@dataclass
class Key:
    private: ec.EllipticCurvePrivateKey
    handle: str
    site: str


@dataclass
class Device:
    """`origin`: the page that its browser shows. `counts`: some devices say how often each key was used, others 0 always."""

    origin: str = "https://books.example"
    counts: bool = True
    verifies: bool = True
    count: int = 0
    keys: dict[str, Key] = field(default_factory=dict)

    def make(self, options: dict[str, Any], at: str = "") -> str:
        """A new key, and what the page is answered with."""
        key = Key(ec.generate_private_key(ec.SECP256R1()), options["user"]["id"], at or options["rp"]["id"])
        name = secrets.token_bytes(16)
        self.keys[words(name)] = key
        point = key.private.public_key().public_numbers()
        cose = {1: 2, 3: -7, -1: 1, -2: point.x.to_bytes(32, "big"), -3: point.y.to_bytes(32, "big")}
        kept = bytes(16) + len(name).to_bytes(2, "big") + name + cbor2.dumps(cose)
        made = {"fmt": "none", "attStmt": {}, "authData": self._told(key, HOLDS_KEY) + kept}
        return self._answer(words(name), "create", options, attestationObject=words(cbor2.dumps(made)))

    def show(self, options: dict[str, Any], name: str = "", at: str = "", **other: str) -> str:
        """Proof of the only key, or of that called `name`; `at` and `other` are told instead of the truth."""
        name = name or next(iter(self.keys))
        key = self.keys[name]
        if self.counts:
            self.count += 1
        told = self._told(Key(key.private, key.handle, at or key.site))
        client = self._client("get", options)
        signed = key.private.sign(told + hashlib.sha256(client).digest(), ec.ECDSA(hashes.SHA256()))
        given = {"authenticatorData": words(told), "signature": words(signed), "userHandle": key.handle, **other}
        return self._answer(name, "get", options, **given)

    def _told(self, key: Key, more: int = 0) -> bytes:
        flags = PRESENT | (VERIFIED if self.verifies else 0) | more
        return hashlib.sha256(key.site.encode()).digest() + bytes([flags]) + self.count.to_bytes(4, "big")

    def _client(self, what: str, options: dict[str, Any]) -> bytes:
        said = {"type": f"webauthn.{what}", "challenge": options["challenge"], "origin": self.origin}
        return json.dumps(said).encode()

    def _answer(self, name: str, what: str, options: dict[str, Any], **response: str) -> str:
        client = words(self._client(what, options))
        return json.dumps(
            {"id": name, "rawId": name, "type": "public-key", "response": {"clientDataJSON": client, **response}}
        )


def last_letter_changed(text: str) -> str:
    """The same bytes but for one bit."""
    found = bytearray(data(text))
    found[-1] ^= 1
    return words(bytes(found))
