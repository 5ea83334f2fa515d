"""The job page and the files that belong to a job."""

import pytest
from django.test import Client
from django.urls import reverse

from jobs.book.stages import Stage
from shop.people.roles import Role
from tests import factory

pytestmark = pytest.mark.django_db


def test_the_job_page_opens(client: Client) -> None:
    factory.shop()
    job = factory.job(Stage.BEN)
    client.force_login(factory.person(Role.DESK), backend="django.contrib.auth.backends.ModelBackend")
    answer = client.get(reverse("desk:job", args=[job.number]))
    assert answer.status_code == 200
    assert job.item.title in answer.content.decode()
