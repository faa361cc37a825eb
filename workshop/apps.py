"""The roof: pages that join both floors, papers, commands. No models."""

from __future__ import annotations

from django.apps import AppConfig


class WorkshopConfig(AppConfig):
    name = "workshop"
    verbose_name = "Workshop"
