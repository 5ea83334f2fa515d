"""Binding codes to items, and taking them out of use."""

from collections.abc import Callable
from datetime import datetime

from django.db import IntegrityError, transaction

from jobs.book.models import Item, Job
from jobs.book.refusals import Refused
from jobs.book.steps import record
from jobs.tags.codes import grouped, make_code
from jobs.tags.models import Tag
from jobs.tags.reads import live_tag
from shop.people.models import Person

_PICKS = 8


def bind(
    item: Item,
    *,
    by: Person | None,
    at: datetime,
    job: Job | None = None,
    pick: Callable[[], str] = make_code,
) -> Tag:
    """Give an item its tag. Refused when it has a live one. `job` puts the entry on that job's trail too."""
    with transaction.atomic():
        held = live_tag(Item.objects.select_for_update(no_key=True).get(pk=item.pk))
        if held is not None:
            raise Refused(f"This item already has the tag {grouped(held.code)}. Issue a new one if it is torn or lost.")
        tag = _new(item, by=by, at=at, pick=pick)
        record("tag.bound", by=by, at=at, item=item, job=job, data={"tag": tag.pk})
    return tag


def _new(item: Item, *, by: Person | None, at: datetime, pick: Callable[[], str]) -> Tag:
    for _ in range(_PICKS):
        try:
            with transaction.atomic():
                return Tag.objects.create(item=item, code=pick(), by=by, at=at)
        except IntegrityError:
            if live_tag(item) is not None:
                raise Refused("Someone else has just given this item a tag. Look again.") from None
    raise Refused("No free code was found. Try again.")


def void(tag: Tag, *, reason: str, by: Person | None, at: datetime, job: Job | None = None) -> Tag:
    """Take a code out of use for good. Scanning it then tells people in the shop which tag took its place."""
    if not reason.strip():
        raise Refused("Write why the tag is taken out of use.")
    with transaction.atomic():
        if not Tag.objects.filter(pk=tag.pk, dead_at=None).update(dead_at=at, dead_reason=reason.strip()[:120]):
            raise Refused("This tag was already taken out of use.")
        record("tag.voided", by=by, at=at, item=tag.item, job=job, data={"tag": tag.pk})
    tag.refresh_from_db(fields=["dead_at", "dead_reason"])
    return tag


def reissue(
    item: Item, *, torn: int | None, reason: str, by: Person | None, at: datetime, job: Job | None = None
) -> Tag | None:
    """A new tag in place of one that is torn or lost: the old code is dead from this moment.

    `torn` is the id of the tag as it was seen, None for an item without one. Two presses at once make one new tag: the
    second finds another live one and gets None.
    """
    with transaction.atomic():
        held = live_tag(Item.objects.select_for_update(no_key=True).get(pk=item.pk))
        if (held.pk if held else None) != torn:
            return None
        if held is not None:
            void(held, reason=reason, by=by, at=at, job=job)
        return bind(item, by=by, at=at, job=job)


def print_again(item: Item, *, tag: int, by: Person, at: datetime, job: Job | None = None) -> Tag:
    """Write down that the tag in use was printed once more; its code stays good. Refused when another has taken its place."""
    with transaction.atomic():
        held = live_tag(Item.objects.select_for_update(no_key=True).get(pk=item.pk))
        if held is None or held.pk != tag:
            raise Refused("That tag is not in use any more. Look again.")
        record("tag.reprinted", by=by, at=at, item=item, job=job, data={"tag": held.pk})
    return held
