"""Every address of the shop."""

from django.conf import settings
from django.urls import include, path

from shop.starting.health import healthz

urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("", include("shop.people.urls")),
    path("kiosk/", include("shop.people.kiosk_urls")),
    path("", include("jobs.urls")),
]
if settings.DEMO:
    urlpatterns += [path("sink/", include("shop.starting.sink_urls"))]
