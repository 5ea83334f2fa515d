"""Addresses of the intake. The key names a draft and says nothing else."""

from django.urls import path

from jobs.intake import list_views, photo_views, piece_views, sign_views, views, who_views

app_name = "intake"
urlpatterns = [
    path("", views.start, name="start"),
    path("awake/", views.awake, name="awake"),
    path("<uuid:key>/give-up/", views.give_up, name="give-up"),
    path("<uuid:key>/keep/<slug:step>/", views.save, name="save"),
    path("<uuid:key>/who/find/", who_views.find, name="find"),
    path("<uuid:key>/who/choose/", who_views.choose, name="choose"),
    path("<uuid:key>/who/write/", who_views.party, name="party"),
    path("<uuid:key>/counter/keep/", list_views.keep, name="counter-keep"),
    path("<uuid:key>/counter/apart/", list_views.apart, name="counter-apart"),
    path("<uuid:key>/counter/fully/", list_views.fully, name="counter-fully"),
    path("<uuid:key>/items/add/", piece_views.add, name="add"),
    path("<uuid:key>/items/<slug:piece>/off/", piece_views.remove, name="remove"),
    path("<uuid:key>/photo/", photo_views.send, name="photo"),
    path("<uuid:key>/photo/<int:pk>/<slug:size>/", photo_views.picture, name="picture"),
    path("<uuid:key>/condition/<slug:piece>/line/", piece_views.line, name="line"),
    path("<uuid:key>/condition/<slug:piece>/line/off/", piece_views.line_remove, name="line-remove"),
    path("<uuid:key>/value/<slug:piece>/accept/", piece_views.accept, name="accept"),
    path("<uuid:key>/seal/", sign_views.seal_note, name="seal"),
    path("<uuid:key>/place/", sign_views.place_all, name="place"),
    path("<uuid:key>/note.pdf", sign_views.note_pdf, name="note-pdf"),
    path("<uuid:key>/tags.pdf", sign_views.tags, name="tags-pdf"),
    path("<uuid:key>/<slug:step>/", views.step, name="step"),
    path("<uuid:key>/<slug:step>/<slug:piece>/", views.step, name="piece"),
]
