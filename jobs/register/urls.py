"""Addresses of the register: find anything, an item’s page, an owner’s page."""

from django.urls import path

from jobs.register import find_views

app_name = "register"

urlpatterns = [
    path("find/", find_views.find, name="find"),
]
