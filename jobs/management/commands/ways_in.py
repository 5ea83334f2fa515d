"""`manage.py ways_in`: write down a few addresses of the sample shop that a visitor may want to try."""

import json
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.urls import reverse

from jobs.book.models import Job
from jobs.links.reads import token
from jobs.links.steps import link_for
from jobs.tags.reads import live_tag

OWNERS = ("0408", "0401")
TAGGED = "0406"
FILE = "ways-in.json"


class Command(BaseCommand):
    """Writes what each way in is and its path to the home's ways-in.json; the address before it is whoever starts it's."""

    help = "Write down owner pages and a tag of the sample shop that a visitor may want to try."

    def handle(self, *_args: Any, **_options: Any) -> None:
        found = [*_pages(), *_tags()]
        (settings.SHOP_HOME / FILE).write_text(json.dumps(found, ensure_ascii=False, indent=2) + "\n", encoding="utf-8")


def _pages() -> list[tuple[str, str]]:
    pages = []
    for short in OWNERS:
        job = Job.objects.filter(number__endswith=f"-{short}").select_related("item").first()
        role = job.roles.filter(role="owner").select_related("party").first() if job else None
        if job is None or role is None:
            continue
        link = link_for("owner", job_id=job.pk, party_id=role.party_id, at=job.opened_at)
        pages.append((f"{role.party.tag_name}’s page on {job.number}", reverse("owner:page", args=[token(link)])))
    return pages


def _tags() -> list[tuple[str, str]]:
    job = Job.objects.filter(number__endswith=f"-{TAGGED}").select_related("item").first()
    tag = live_tag(job.item) if job else None
    return [(f"the tag of {job.number}", reverse("scan:tag", args=[tag.code]))] if job and tag else []
