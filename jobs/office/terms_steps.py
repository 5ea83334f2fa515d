"""Writing the terms: always a new version, never an old one again."""

from datetime import date, datetime, time

from django.db import transaction

from jobs.book.refusals import Refused, Stale
from jobs.book.steps import keep, press, record
from jobs.office.paragraphs import paragraphs
from shop.clock import days_words, local
from shop.people.models import Person
from shop.profile.models import Profile, Terms

ACTIONS = ("terms.written",)
MOST = 20_000


def proper(text: str, newest: Terms | None) -> str:
    """The text as it would be kept. Raises Refused when empty, too long, or the same as the newest version."""
    kept = "\n\n".join(paragraphs(text))
    if not kept:
        raise Refused("The terms are empty. Write them first.")
    if len(kept) > MOST:
        raise Refused(f"The terms are {len(kept) - MOST} letters too long for the note an owner signs.")
    if newest is not None and kept == "\n\n".join(paragraphs(newest.text)):
        raise Refused(f"This is terms {newest.version} word for word. Nothing to keep.")
    return kept


def write_terms(text: str, since: date | None, *, after: int, by: Person, at: datetime, key: str) -> Terms:
    """Keep a new version, in force from today or a day to come. `after` is the version its page was opened on.

    Raises Stale when somebody wrote a version meanwhile, Refused, Again. Intakes that are not signed yet take the version
    in force when they are signed; a page that showed an older one is told so there.
    """
    with transaction.atomic():
        pressed = press(key, "terms.write", at=at)
        shop = Profile.objects.select_for_update(no_key=True).get(pk=1)
        newest = Terms.objects.order_by("-version").first()
        if newest is not None and newest.version != after:
            raise Stale(f"Terms {newest.version} were written while you had this page open. Look at them first.")
        kept = proper(text, newest)
        today = local(at, shop.zone).date()
        if since is None or since < today:
            raise Refused("Choose today or a day to come: what was signed before stays as it was signed.")
        begins = at if since == today else datetime.combine(since, time(), shop.zone)
        if newest is not None and begins <= newest.since:
            day = days_words(local(newest.since, shop.zone).date())
            raise Refused(f"Terms {newest.version} begin on {day}. Let these begin later.")
        version = newest.version + 1 if newest else 1
        made = Terms.objects.create(version=version, text=kept, since=begins, made_by=by)
        record("terms.written", by=by, at=at, data={"version": version, "since": since.isoformat()})
        keep(pressed, terms=made.pk)
    return made
