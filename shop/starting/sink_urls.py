"""The sample shop's letters; a real shop has no such addresses."""

from django.urls import path

from shop.starting import sink_views

app_name = "sink"
urlpatterns = [
    path("", sink_views.sink, name="sink"),
    path("<slug:name>/", sink_views.letter, name="letter"),
    path("<slug:name>/<int:number>/", sink_views.enclosure, name="enclosure"),
]
