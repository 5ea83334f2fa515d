"""Addresses of the owner's pages; the token is the key."""

from django.urls import path

from jobs.owner import views

app_name = "owner"

urlpatterns = [
    path("o/<str:token>/", views.page, name="page"),
    path("o/<str:token>/ask/", views.ask, name="ask"),
    path("o/<str:token>/fresh/", views.fresh, name="fresh"),
    path("o/<str:token>/estimate/", views.estimate, name="estimate"),
    path("o/<str:token>/paper/<int:pk>.pdf", views.paper, name="paper"),
    path("o/<str:token>/photo/<int:pk>/<str:size>/", views.photo, name="photo"),
]
