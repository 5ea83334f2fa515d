"""Addresses of the rails."""

from django.urls import path

from jobs.board import views

app_name = "board"

urlpatterns = [
    path("", views.rails, name="rails"),
    path("wall/", views.wall, name="wall"),
    path("pulse/", views.pulse, name="pulse"),
    path("rails/<str:number>/", views.tag, name="tag"),
    path("rails/<str:number>/offers/", views.offers, name="offers"),
    path("rails/<str:number>/move/", views.move, name="move"),
    path("rails/<str:number>/undo/", views.undo, name="undo"),
    path("rails/<str:number>/give/", views.assign, name="assign"),
    path("rails/<str:number>/tape/", views.hold, name="hold"),
    path("rails/<str:number>/rest/", views.rest, name="rest"),
    path("rails/<str:number>/lift/", views.lift, name="lift"),
]
