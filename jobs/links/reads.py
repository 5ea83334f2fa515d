"""From a token to its link, or to the reason why it opens nothing."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from django.conf import settings
from django.urls import reverse

from jobs.links.models import Link
from jobs.links.tokens import key_from, read_token, token_of

STAYS = timedelta(days=30)  # after its job is closed


class Why(StrEnum):
    """Why a token opens nothing."""

    NOT_OURS = "not ours"
    RENEWED = "renewed"
    RAN_OUT = "ran out"
    SHUT = "shut"


@dataclass(frozen=True, slots=True)
class Opened:
    """The link behind a token. `why` is empty when it opens; otherwise `link` only tells where a fresh one may go."""

    link: Link | None
    why: Why | None = None


def ends_at(link: Link) -> datetime | None:
    """When a link stops, None while its job is open. No query when `link.job` is loaded."""
    if link.expires_at is not None:
        return link.expires_at
    return link.job.closed_at + STAYS if link.job.closed_at else None


def open_link(token: str, *, at: datetime) -> Opened:
    """What a token opens. No query for a token that is not ours, else one."""
    found = read_token(token, key_from(settings.SECRET_KEY))
    if found is None:
        return Opened(None, Why.NOT_OURS)
    link = Link.objects.select_related("job", "job__item", "party").filter(pk=found[0]).first()
    if link is None or found[1] > link.generation:
        return Opened(None, Why.NOT_OURS)
    if link.closed_at is not None:
        return Opened(link, Why.SHUT)
    if found[1] < link.generation:
        return Opened(link, Why.RENEWED)
    end = ends_at(link)
    if end is not None and at >= end:
        return Opened(link, Why.RAN_OUT)
    return Opened(link)


def token(link: Link) -> str:
    """The token that opens a link now."""
    return token_of(link.pk, link.generation, key_from(settings.SECRET_KEY))


def address_of(link: Link) -> str:
    """The whole address, to be put into a letter at the moment of sending and nowhere else."""
    return f"{settings.OWNERS_ADDRESS}{reverse('owner:page', args=[token(link)])}"
