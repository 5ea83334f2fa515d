"""A job and the link of its owner."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.book.models import Job, Party
from jobs.book.stages import Stage
from jobs.links.models import Link
from jobs.links.reads import token
from jobs.links.steps import link_for
from tests import factory


@dataclass
class Owner:
    """Whoever holds a link, with a browser that is signed in nowhere."""

    job: Job
    party: Party
    link: Link
    client: Client
    at: datetime

    @property
    def token(self) -> str:
        return token(self.link)

    def address(self, name: str, *more: object) -> str:
        return reverse(f"owner:{name}", args=[self.token, *more])

    def get(self, name: str, /, *more: object, **query: str) -> Any:
        return self.client.get(self.address(name, *more), query)

    def post(self, name: str, /, **fields: object) -> Any:
        return self.client.post(self.address(name), fields)


def owner_of(job: Job, role: str = "owner", *, at: datetime | None = None) -> Owner:
    """The holder of a role on a job, with a link of their own."""
    now = at or timezone.now()
    party = job.roles.filter(role=role).order_by("id")[0].party
    return Owner(
        job, party, link_for("owner", job_id=job.pk, party_id=party.pk, at=now), Client(enforce_csrf_checks=True), now
    )


@pytest.fixture
def owner(db: None) -> Owner:
    factory.shop(telephone="020 7946 0123")
    return owner_of(factory.job(Stage.BEN))
