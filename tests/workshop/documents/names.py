"""Names in eight scripts, as a customer may have them, and what takes the further types away for a test."""

from __future__ import annotations

import pytest

from workshop.documents.type import faces, runs

NAMES = {
    "Latin": "Żaneta Đorđević Åse Ñíguez",
    "Greek": "Ελένη Παπαδοπούλου",
    "Cyrillic": "Наталья Щёлокова",
    "Hebrew": "דוד בן־שושן",
    "Arabic": "محمد عبد الله الأحمد",
    "Devanagari": "लक्ष्मी क्षत्रिय",
    "Chinese": "王小明",
    "Japanese": "やまだ花子",
    "Korean": "김철수",
}
FURTHER = ("Hebrew", "Arabic", "Devanagari", "Chinese", "Japanese", "Korean")
_KEPT = (faces.shaping, faces.find, faces._packaged, faces._system, faces._blocks, runs.lay, runs._cut)


def forget() -> None:
    """What was found installed is looked for again."""
    for each in _KEPT:
        each.cache_clear()


def take_away(monkeypatch: pytest.MonkeyPatch, *modules: str) -> None:
    """As on a computer without these modules (all further ones where none is named), and without typefaces of its own."""
    found = faces.util.find_spec
    monkeypatch.setattr(faces.util, "find_spec", lambda name: None if not modules or name in modules else found(name))
    monkeypatch.setattr(faces, "folders", list)
    forget()
