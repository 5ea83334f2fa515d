"""The shop's profile, read once per request."""

from shop.prepared import Prepared
from shop.profile.models import Profile, Terms

_only = Prepared(lambda: Profile.objects.filter(pk=1))


def profile() -> Profile:
    """The one profile row. One query. Raises Profile.DoesNotExist before the shop is set up."""
    found = profile_if_any()
    if found is None:
        raise Profile.DoesNotExist
    return found


def profile_if_any() -> Profile | None:
    """The one profile row, None before the shop is set up. One query."""
    return _only.first()


def terms_now() -> Terms | None:
    """The newest terms. One query."""
    return Terms.objects.order_by("-version").first()
