from django.urls import path

from shop.people import views

app_name = "kiosk"
urlpatterns = [
    path("", views.home, name="home"),
    path("open/", views.open_kiosk, name="open"),
    path("lock/", views.close_kiosk, name="lock"),
]
