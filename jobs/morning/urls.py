"""Addresses of the day."""

from django.urls import path

from jobs.morning import views

app_name = "morning"

urlpatterns = [
    path("today/", views.today, name="today"),
    path("today/list.pdf", views.list_pdf, name="list"),
]
