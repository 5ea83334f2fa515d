"""Addresses as the sample shop has them."""

from django.urls import include, path

from shop.urls import urlpatterns as every_shop

urlpatterns = [*every_shop, path("sink/", include("shop.starting.sink_urls"))]
