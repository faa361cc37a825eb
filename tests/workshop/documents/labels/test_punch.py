from __future__ import annotations

from workshop.documents.labels import punch


def test_every_sign_has_its_own_holes_and_an_odd_number_of_them() -> None:
    rows = [punch.rows(sign)[0] for sign in punch.SIGNS]
    assert len({row.holes for row in rows}) == 36
    assert all((sum(row.holes) + row.check) % 2 == 1 for row in rows)


def test_small_letters_and_dashes_do_not_matter() -> None:
    assert punch.rows("h-0 3") == punch.rows("H03")


def test_a_tag_without_letters_or_figures_has_no_rows() -> None:
    assert punch.rows("--") == ()
