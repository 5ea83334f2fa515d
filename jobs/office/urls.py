"""Addresses of the shop's own rooms."""

from django.urls import path

from jobs.office import (
    copies_views,
    device_views,
    draft_views,
    facts_views,
    front,
    hours_views,
    network_views,
    place_views,
    price_views,
    tax_views,
    terms_views,
)

app_name = "office"

urlpatterns = [
    path("shop/", front.front, name="front"),
    path("shop/facts/", facts_views.facts, name="facts"),
    path("shop/hours/", hours_views.hours, name="hours"),
    path("shop/hours/close/", hours_views.close, name="hours-close"),
    path("shop/hours/closed/<int:pk>/open/", hours_views.open_again, name="hours-open"),
    path("shop/taxes/", tax_views.taxes, name="taxes"),
    path("shop/taxes/<int:pk>/withdraw/", tax_views.withdraw, name="tax-withdraw"),
    path("shop/prices/", price_views.prices, name="prices"),
    path("shop/prices/begin/", price_views.begin, name="price-begin"),
    path("shop/prices/<int:pk>/", price_views.one_list, name="price-list"),
    path("shop/prices/<int:pk>.pdf", price_views.printed, name="price-pdf"),
    path("shop/prices/<int:pk>/reopen/", price_views.reopen, name="price-reopen"),
    path("shop/prices/<int:pk>/write/", draft_views.draft, name="price-draft"),
    path("shop/prices/<int:pk>/add/", draft_views.add, name="price-add"),
    path("shop/prices/<int:pk>/rise/", draft_views.rise, name="price-rise"),
    path("shop/prices/<int:pk>/withdraw/", draft_views.withdraw, name="price-withdraw"),
    path("shop/terms/", terms_views.terms, name="terms"),
    path("shop/terms/new/", terms_views.new, name="terms-new"),
    path("shop/terms/<int:number>/", terms_views.version, name="terms-version"),
    path("shop/places/", place_views.places, name="places"),
    path("shop/places/<int:pk>/", place_views.change, name="place"),
    path("shop/devices/", device_views.devices, name="devices"),
    path("shop/devices/<int:pk>/", device_views.change, name="device"),
    path("kiosk/register/", device_views.register, name="device-register"),
    path("shop/network/", network_views.network, name="network"),
    path("shop/network.pdf", network_views.sheet, name="network-pdf"),
    path("shop/copies/", copies_views.copies, name="copies"),
    path("shop/copies/now/", copies_views.now, name="copies-now"),
    path("shop/copies/make/", copies_views.make, name="copies-make"),
    path("shop/copies/is-the-shop/", copies_views.is_the_shop, name="copies-is-the-shop"),
]
