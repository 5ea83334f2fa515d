from django.apps import AppConfig


class JobsConfig(AppConfig):
    """The one app of all slices. Slices that follow entries register here, so lower slices need not know them."""

    name = "jobs"
    label = "jobs"

    def ready(self) -> None:
        from jobs import following  # noqa: F401 - registers the followers
