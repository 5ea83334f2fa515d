"""The shop's profile, read once per request."""

from shop.profile.models import Profile, Terms


def profile() -> Profile:
    """The one profile row. One query. Raises Profile.DoesNotExist before the shop is set up."""
    return Profile.objects.get(pk=1)


def terms_now() -> Terms | None:
    """The newest terms. One query."""
    return Terms.objects.order_by("-version").first()
