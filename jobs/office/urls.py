"""Addresses of the shop's own rooms."""

from django.urls import path

from jobs.office import facts_views, front

app_name = "office"

urlpatterns = [
    path("shop/", front.front, name="front"),
    path("shop/facts/", facts_views.facts, name="facts"),
]
