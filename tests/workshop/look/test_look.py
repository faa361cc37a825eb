"""The look: contrast, small templates, no inline style or script, each component drawn on the design page."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.test import Client, RequestFactory, override_settings
from django.test.signals import template_rendered
from django.urls import reverse
from django.utils.html import escape

from workshop.look import views as look
from workshop.look.samples import DeliveryForm
from workshop.templatetags.look import in_words, inside, laid_out

ROOT = Path(look.__file__).resolve().parents[2]
TEMPLATES = sorted(path for app in ("workshop", "costing", "inventory") for path in (ROOT / app).rglob("*.html"))
PARTS = sorted((ROOT / "workshop" / "templates" / "parts").glob("*.html"))

INLINE = re.compile(
    r"""\sstyle\s*= | <style\b | <script\b(?![^>]*\ssrc=) | \son[a-z]+\s*=\s*["'] | javascript: | \shx-on""",
    re.IGNORECASE | re.VERBOSE,
)

DAY, DARK, DARK_BY_SWITCH = look.token_sets()
GROUNDS = ("--paper", "--sheet", "--wash")
TEXTS = ("--ink", "--ink-2", "--bark", "--bark-deep", "--moss", "--rust")
PAIRS = [(text, ground) for text in TEXTS for ground in GROUNDS]
PAIRS += [("--on-bark", "--bark"), ("--on-bark", "--bark-deep"), ("--on-rust", "--rust")]


def luminance(colour: str) -> float:
    """Relative luminance of a #rrggbb colour (source: WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (source: WCAG 2.2, definition of contrast ratio)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_gives_the_ends_of_the_scale() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") < 4.5 < contrast("#767676", "#ffffff")


@pytest.mark.parametrize("tokens", [DAY, DARK], ids=["day", "dark"])
@pytest.mark.parametrize(("text", "ground"), PAIRS, ids="-on".join)
def test_text_keeps_the_contrast_of_level_aa(tokens: dict[str, str], text: str, ground: str) -> None:
    # Source: WCAG 2.2 SC 1.4.3 Contrast (Minimum), 4.5:1 for text of any size.
    assert contrast(tokens[text], tokens[ground]) >= 4.5


@pytest.mark.parametrize("tokens", [DAY, DARK], ids=["day", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
def test_the_edge_of_an_input_is_seen(tokens: dict[str, str], ground: str) -> None:
    # Source: WCAG 2.2 SC 1.4.11 Non-text Contrast, 3:1 for what shows where a control is.
    assert contrast(tokens["--edge"], tokens[ground]) >= 3


def test_both_ways_into_the_dark_give_the_same_colours() -> None:
    assert DARK == DARK_BY_SWITCH
    assert set(look.colours(DAY)) == set(look.colours(DARK))


def test_components_use_only_tokens_that_exist() -> None:
    used = {
        name
        for sheet in look.TOKENS.parent.glob("*.css")
        for name in re.findall(r"var\((--[\w-]+)\)", sheet.read_text("utf-8"))
    }
    assert len(used) > 20
    assert used <= set(DAY)


@pytest.mark.parametrize(
    "bad",
    [
        '<p style="color: red">',
        "<style>",
        "<script>alert(1)</script>",
        '<a onclick="go()">',
        '<a href="javascript:go()">',
        '<b hx-on:click="x">',
    ],
)
def test_the_scan_sees_inline_style_and_script(bad: str) -> None:
    assert INLINE.search(bad)


def test_the_scan_lets_linked_files_through() -> None:
    assert not INLINE.search('<link rel="stylesheet" href="a.css"><script src="a.js" defer></script>')


def test_a_template_is_small_and_carries_no_inline_style_or_script() -> None:
    texts = {str(path.relative_to(ROOT)): path.read_text("utf-8") for path in TEMPLATES}
    assert len(texts) > 100
    refused = {name: found.group() for name, text in texts.items() if (found := INLINE.search(text))}
    assert refused == {}, "the content policy refuses it"
    assert [name for name, text in texts.items() if text.count("\n") >= 120] == []
    assert [name for name, text in texts.items() if max(map(len, text.split("\n"))) > 140] == []


def page(request: HttpRequest) -> str:
    with override_settings(DEBUG=True):
        response: HttpResponse = look.look(request)
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def shown(rf: RequestFactory) -> str:
    return page(rf.get("/"))


@pytest.mark.django_db
def test_the_design_page_shows_every_token(shown: str) -> None:
    missing = [name for name, value in DAY.items() if f"<code>{name}</code>" not in shown or escape(value) not in shown]
    assert missing == []


@pytest.mark.thorough(but=4)
@pytest.mark.django_db
@pytest.mark.parametrize("part", PARTS, ids=lambda path: path.stem)
def test_every_component_is_drawn_on_the_design_page(part: Path, rf: RequestFactory) -> None:
    drawn: set[str] = set()

    def note(template: object, **_: object) -> None:
        drawn.add(str(getattr(template, "name", "")))

    template_rendered.connect(note)
    try:
        page(rf.get("/"))
    finally:
        template_rendered.disconnect(note)
    assert f"parts/{part.name}" in drawn


@pytest.mark.django_db
def test_no_identity_is_used_twice_on_the_design_page(shown: str) -> None:
    names = re.findall(r'\sid="([^"]+)"', shown)
    assert len(names) > 20
    assert sorted(names) == sorted(set(names))


@pytest.mark.django_db
def test_every_description_points_at_something(shown: str) -> None:
    names = set(re.findall(r'\sid="([^"]+)"', shown))
    pointers = [name for value in re.findall(r'aria-describedby="([^"]+)"', shown) for name in value.split()]
    pointers += re.findall(r'<label[^>]* for="([^"]+)"', shown) + re.findall(r'href="#([^"]+)"', shown)
    assert len(pointers) > 20
    assert set(pointers) <= names


@pytest.mark.django_db
def test_a_wrong_field_is_tied_to_its_error_and_linked_from_the_summary(rf: RequestFactory) -> None:
    html = render_to_string("parts/form.html", {"form": DeliveryForm({"weight": "two"})}, rf.get("/"))
    assert 'aria-describedby="id_weight_helptext id_weight_error"' in html
    assert 'aria-invalid="true"' in html
    assert 'href="#id_weight"' in html
    assert html.index('role="alert"') < html.index('id="id_weight"')


@pytest.mark.django_db
def test_a_form_sends_exactly_one_request_key(rf: RequestFactory) -> None:
    own = render_to_string("parts/form.html", {"form": DeliveryForm(), "request_key": "k1"}, rf.get("/"))
    assert own.count('name="request_key"') == 1
    form = DeliveryForm()
    del form.fields["request_key"]
    added = render_to_string("parts/form.html", {"form": form, "request_key": "k1"}, rf.get("/"))
    assert added.count('name="request_key" value="k1"') == 1


def test_a_field_left_out_of_the_groups_still_reaches_the_page() -> None:
    assert [field.name for field in laid_out(DeliveryForm()).loose] == ["note", "checked"]


def test_what_is_rarely_entered_is_folded_and_opens_where_it_was_typed_or_is_wrong() -> None:
    class Folded(DeliveryForm):
        more = ("note", "weight")

    empty = laid_out(Folded())
    assert ([field.name for field in empty.more], empty.named, empty.wanted) == (
        ["note", "weight"],
        "note, weight",
        False,
    )
    assert [field.name for field in empty.loose] == ["checked"]
    assert "weight" not in [field.name for _, members in empty.groups for field in members]
    sent = {"supplier": "1", "came_on": "2025-12-31", "carriage_by": "value", "request_key": "k1"}
    assert not laid_out(Folded({**sent, "weight": ""})).more[0].errors
    assert laid_out(Folded({**sent, "note": "two sacks", "weight": "4"})).wanted
    assert laid_out(Folded({**sent, "weight": "a lot"})).wanted


@pytest.mark.django_db
def test_a_sorted_heading_says_so_and_turns_round(rf: RequestFactory) -> None:
    html = page(rf.get("/", {"sort": "-name"}))
    assert html.count('aria-sort="descending"') == 1
    assert 'href="?sort=name"' in html


@pytest.mark.django_db
def test_pages_of_a_list_are_links_that_keep_the_sorting(rf: RequestFactory) -> None:
    html = page(rf.get("/", {"sort": "name", "page": "2"}))
    assert 'href="?sort=name&amp;page=1"' in html
    assert '<span aria-current="page"><span class="sr">Page </span>2</span>' in html


def switch(rf: RequestFactory, **fields: str) -> HttpResponse:
    return look.set_light(rf.post("/light/", fields))


@pytest.mark.parametrize("choice", ["day", "dark"])
def test_the_light_is_kept_on_the_device(rf: RequestFactory, choice: str) -> None:
    answer = switch(rf, light=choice, next="/skins/?page=2")
    assert answer["Location"] == "/skins/?page=2"
    assert answer.cookies["light"].value == choice
    assert answer.cookies["light"]["httponly"]


@pytest.mark.parametrize("choice", ["device", '"><script>'])
def test_any_other_light_follows_the_device(rf: RequestFactory, choice: str) -> None:
    assert switch(rf, light=choice, next="/").cookies["light"]["max-age"] == 0


@pytest.mark.parametrize("away", ["https://example.com/", "//example.com/", ""])
def test_the_switch_never_leads_off_the_workshop(rf: RequestFactory, away: str) -> None:
    assert switch(rf, light="dark", next=away)["Location"] == "/"


def test_the_switch_is_a_form_and_never_a_link(rf: RequestFactory) -> None:
    assert look.set_light(rf.get("/light/")).status_code == 405


@pytest.mark.django_db
@pytest.mark.parametrize(("kept", "said"), [("dark", 'data-light="dark"'), ("day", 'data-light="day"')])
def test_the_kept_light_is_on_the_page(rf: RequestFactory, kept: str, said: str) -> None:
    request = rf.get("/")
    request.COOKIES["light"] = kept
    assert said in page(request)[:200]


@pytest.mark.parametrize("name", ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"])
def test_an_error_page_needs_no_request_and_says_what_to_do(name: str) -> None:
    html = render_to_string(name)
    assert "<h1>" in html
    assert '<a class="btn" href="/">To Today</a>' in html


def test_the_locked_page_says_how_long() -> None:
    html = render_to_string(
        "workshop/setup/locked.html", {"failure_limit": 5, "cooloff_timedelta": timedelta(minutes=15)}
    )
    assert "15 minutes" in html


def test_a_span_is_rounded_up_to_whole_minutes() -> None:
    assert [in_words(timedelta(seconds=seconds)) for seconds in (0, 60, 61, 5400, 3600)] == [
        "1 minute",
        "1 minute",
        "2 minutes",
        "90 minutes",
        "1 hour",
    ]


def test_a_room_holds_the_pages_below_it_and_the_front_door_only_itself() -> None:
    assert inside("/skins/H01/", "/skins/")
    assert not inside("/setup/skins/", "/skins/")
    assert not inside("/skins/", "/")
    assert inside("/", "/")


@pytest.mark.django_db
def test_the_design_page_is_there_for_who_builds_pages_and_for_nobody_else(client: Client) -> None:
    assert client.get(reverse("look")).status_code == 404
    with override_settings(DEBUG=True):
        assert client.get(reverse("look")).status_code == 200
