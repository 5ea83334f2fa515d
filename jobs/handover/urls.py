from django.urls import path

from jobs.handover import views

app_name = "handover"
urlpatterns = [path("job/<str:number>/hand-over/", views.release, name="release")]
