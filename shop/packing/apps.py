from django.apps import AppConfig


class PackingConfig(AppConfig):
    """Safe copies of the shop."""

    name = "shop.packing"
    label = "packing"
