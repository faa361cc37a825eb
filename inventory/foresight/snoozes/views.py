"""Pages that set a material aside until a day, and take it up again."""

from typing import Any

from django.db.models import Model, QuerySet

from inventory import formats
from inventory.base import selectors as workshop
from inventory.foresight import selectors as foresight, words
from inventory.foresight.snoozes import selectors as snoozes_read, services as snoozes
from inventory.foresight.snoozes.forms import SnoozeForm
from inventory.foresight.snoozes.models import Snooze
from inventory.materials.models import Material
from inventory.permits import Act
from inventory.web.views import About


class SnoozeNew(About[Material]):
    needs = Act.GOODS
    model = Material
    form_class = SnoozeForm
    title = "Not now: {self.thing.name}"
    submit = "Set aside"
    made: Snooze

    def get_lead(self) -> str:
        (outlook,) = foresight.outlooks(workshop.today(), [self.thing])
        return (
            f"{words.state(outlook.forecast)}. {words.reason(outlook)} Set aside, it leaves Today, the shopping list, the "
            "calendar and the mail until the day you name; if it can no longer arrive in time for a batch, it is shown anyway."
        )

    def get_initial(self) -> dict[str, Any]:
        held = snoozes_read.standing(workshop.today()).get(self.thing.pk)
        return {"until": held.until, "reason": held.reason} if held else {}

    def enter(self, form: Any) -> Snooze:
        return snoozes.snooze(material=self.thing, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{self.thing.name} is set aside until {formats.day(self.made.until)}."


class SnoozeEnd(About[Snooze]):
    needs = Act.GOODS
    title = "Show {self.thing.material.name} again?"
    submit = "Show again"
    success_message = "{self.thing.material.name} is shown again."

    def things(self) -> QuerySet[Snooze]:
        return Snooze.objects.select_related("material")

    def whose(self) -> Model:
        return self.thing.material

    def get_lead(self) -> str:
        row = self.thing
        return f"Set aside on {formats.day(row.on)} until {formats.day(row.until)}: {row.reason}"

    def enter(self, form: Any) -> Snooze:
        return snoozes.wake(snooze=self.thing, by=self.request.user)
