"""Addresses of the register: find anything, an item’s page, an owner’s page."""

from django.urls import URLPattern

app_name = "register"

urlpatterns: list[URLPattern] = []
