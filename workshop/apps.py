"""The roof: pages that join both floors, papers, commands. No models."""

from django.apps import AppConfig


class WorkshopConfig(AppConfig):
    name = "workshop"
    verbose_name = "Workshop"
