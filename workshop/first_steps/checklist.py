"""The words and links of a newcomer's list on Today. Owns words only; what exists comes from `selectors`."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from workshop.first_steps.selectors import Progress


@dataclass(frozen=True)
class FirstStep:
    """One line: what, one sentence, and the one link to the right form. `next`: the first that is not done."""

    what: str
    why: str
    done: bool
    label: str
    url: str
    next: bool = False


def checklist(found: Progress) -> list[FirstStep]:
    """The six lines in their order; each form comes back to Today, but the last, which ends on the price of the piece."""
    steps = [
        (
            "Name and currency",
            "The first entry of money fixes the currency.",
            found.named,
            "Name it",
            _to("setup_workshop"),
        ),
        (
            "Your first material",
            "Salt, alum, oil: the exact substance, as the sack says.",
            found.material,
            "Add a material",
            _to("material_new"),
        ),
        ("Your first skins", "Tag, species, what you paid.", found.skin, "Add skins", _to("skin_new")),
        (
            "A recipe",
            "Start from an outline of common practice; the amounts are yours.",
            found.recipe is not None,
            "Choose an outline",
            _to("recipe_outlines"),
        ),
        (
            "A batch",
            "Which skins, by which recipe; from then on Today says what is due.",
            found.batch,
            "Plan a batch",
            _to("batch_new", version=found.recipe, skin=found.waiting),
        ),
        ("A price", *_price(found)),
    ]
    upto = next((nth for nth, step in enumerate(steps) if not step[2]), None)
    return [FirstStep(*step, next=nth == upto) for nth, step in enumerate(steps)]


def _price(found: Progress) -> tuple[str, bool, str, str]:
    if found.finished is not None:
        why = f"{found.finished} is finished: its page says the least you can take. Set what you ask."
        return why, False, "See its least price", reverse("article", args=[found.finished])
    one = found.waiting if len(found.waiting) == 1 else ()
    why = "Finish a skin when it is done, and see the least you can take for it."
    return why, False, "Finish a piece", _to("article_finish", skin=one)


def _to(name: str, **given: object) -> str:
    """The page, filled in as far as is known, that comes back to Today."""
    known = {key: value for key, value in given.items() if value}
    return f"{reverse(name)}?{urlencode({**known, 'next': reverse('today')}, doseq=True)}"
