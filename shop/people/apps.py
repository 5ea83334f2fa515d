from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """Staff and devices."""

    name = "shop.people"
    label = "people"

    def ready(self) -> None:
        from shop.people import sign_ins  # noqa: F401 - listens to who signs in and out
