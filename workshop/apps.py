"""The roof: pages that join both floors, papers, commands. No models."""

from django.apps import AppConfig
from django.contrib.auth.signals import user_logged_in


class WorkshopConfig(AppConfig):
    name = "workshop"
    verbose_name = "Workshop"

    def ready(self) -> None:
        # Tables are known only now.
        from workshop.setup.passkeys import challenges

        user_logged_in.connect(challenges.lasts)
