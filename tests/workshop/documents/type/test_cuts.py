from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from workshop.documents.type import cuts, fonts


def test_data_folder_keeps_the_cuts(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TAWERY_DATA", str(tmp_path))
    assert cuts.folder() == tmp_path / "fonts"
    assert cuts.folder().is_dir()


def test_without_a_data_folder_the_cuts_are_private_to_the_user(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TAWERY_DATA", raising=False)
    assert cuts.folder().stat().st_mode & 0o077 == 0


def test_bold_is_wider_than_regular_and_figures_are_all_one_width() -> None:
    assert fonts.width("Ram rug", fonts.BOLD, 10) > fonts.width("Ram rug", fonts.REGULAR, 10)
    assert len({fonts.width(figure, fonts.BOLD, 10) for figure in "0123456789"}) == 1


@pytest.mark.thorough
@pytest.mark.slow
def test_a_cut_is_static_the_same_twice_and_not_made_again(tmp_path: Path) -> None:
    one = cuts.cut(fonts.BOLD, tmp_path)
    # The kept cut was made before, often by another process: the strongest twin there is, and no second cut to wait for.
    assert one.read_bytes() == cuts.cut(fonts.BOLD, cuts.folder()).read_bytes()
    made = one.stat().st_mtime_ns
    assert cuts.cut(fonts.BOLD, tmp_path).stat().st_mtime_ns == made
    font = TTFont(one)
    assert "fvar" not in font
    assert font["name"].getDebugName(6) == fonts.BOLD
    assert {ord(c) for c in "äöåÄÖÅß€²−…·"} <= set(font.getBestCmap())
    assert [path.name for path in tmp_path.glob("*.ttf")] == [one.name]
