from django.apps import AppConfig


class ProfileConfig(AppConfig):
    """The shop's own settings."""

    name = "shop.profile"
    label = "profile"
