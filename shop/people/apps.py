from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """Staff and devices."""

    name = "shop.people"
    label = "people"
