"""Paths of the upper floor: recipes, batches, labour, skins' cost, articles, rates and channels."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
