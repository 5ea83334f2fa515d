"""A scanned tag, the job in the hand, and the second check."""

from django.urls import path, re_path

from jobs.scan import bench_views, check_views, tag_views

app_name = "scan"

urlpatterns = [
    re_path(r"^[Tt]/(?P<code>[^/]{1,60})/?$", tag_views.tag, name="tag"),
    path("bench/<str:number>/", bench_views.bench, name="bench"),
    path("bench/<str:number>/move/", bench_views.move, name="move"),
    path("bench/<str:number>/undo/", bench_views.undo, name="undo"),
    path("bench/<str:number>/give/", bench_views.give, name="give"),
    path("bench/<str:number>/start/", bench_views.start, name="start"),
    path("bench/<str:number>/stop/", bench_views.stop, name="stop"),
    path("bench/<str:number>/note/", bench_views.note, name="note"),
    path("bench/<str:number>/hold/", bench_views.hold, name="hold"),
    path("bench/<str:number>/rest/", bench_views.rest, name="rest"),
    path("bench/<str:number>/lift/", bench_views.lift, name="lift"),
    path("bench/<str:number>/place/", bench_views.place, name="place"),
    path("bench/<str:number>/not-this/", bench_views.not_this, name="not-this"),
    path("bench/<str:number>/check/", check_views.check, name="check"),
    path("bench/<str:number>/check/photos/", check_views.photos, name="check-photos"),
]
