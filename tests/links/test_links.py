"""Links: one for each party and job, renewed, shut, run out."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import override_settings

from jobs.book.stages import Stage
from jobs.links.models import Link
from jobs.links.reads import STAYS, Why, address_of, ends_at, open_link, token
from jobs.links.steps import close, link_for, opened, renew
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


def _link(stage: Stage = Stage.BEN, **fields: Any) -> Link:
    job = factory.job(stage, **fields)
    return link_for("owner", job_id=job.pk, party_id=job.roles.all()[0].party_id, at=NOW)


def test_a_party_has_one_link_to_a_job() -> None:
    link = _link()
    again = link_for("owner", job_id=link.job_id, party_id=link.party_id, at=NOW + timedelta(days=9))
    assert again == link
    assert token(again) == token(link)
    assert Link.objects.count() == 1


def test_the_table_holds_nothing_that_opens_a_page() -> None:
    link = _link()
    row = Link.objects.filter(pk=link.pk).values().get()
    assert not any(isinstance(value, str) and len(value) > 6 for value in row.values())


def test_a_link_opens_its_own_job_and_party_only() -> None:
    first, second = _link(), _link()
    found = open_link(token(first), at=NOW)
    assert (found.why, found.link) == (None, first)
    assert found.link is not None
    assert found.link.job_id != second.job_id


def test_the_address_is_the_public_one_and_holds_no_name_or_number() -> None:
    with override_settings(OWNERS_ADDRESS="https://shop.example"):
        address = address_of(_link())
    assert address.startswith("https://shop.example/o/")
    assert "Rookstone" not in address
    assert "26-" not in address


def test_an_open_job_keeps_its_link_however_long_it_takes() -> None:
    link = _link()
    assert ends_at(link) is None
    assert open_link(token(link), at=NOW + timedelta(days=900)).why is None


def test_a_link_runs_out_thirty_days_after_the_job_went_home() -> None:
    link = _link(Stage.HOME, closed_at=NOW, closed_as="home")
    assert open_link(token(link), at=NOW + STAYS - timedelta(seconds=1)).why is None
    late = open_link(token(link), at=NOW + STAYS)
    assert late.why is Why.RAN_OUT
    assert late.link == link


def test_renewing_stops_older_tokens_and_says_so() -> None:
    link = _link()
    old = token(link)
    fresh = renew(link, at=NOW)
    assert open_link(old, at=NOW).why is Why.RENEWED
    assert open_link(token(fresh), at=NOW).why is None


def test_a_renewed_link_of_a_closed_job_holds_thirty_days_more() -> None:
    link = _link(Stage.HOME, closed_at=NOW, closed_as="home")
    later = NOW + timedelta(days=90)
    fresh = renew(link, at=later)
    assert open_link(token(fresh), at=later + timedelta(days=29)).why is None
    assert open_link(token(fresh), at=later + STAYS).why is Why.RAN_OUT


def test_a_shut_link_opens_nothing_until_it_is_given_again() -> None:
    link = _link()
    old = token(link)
    close(link, at=NOW)
    assert open_link(old, at=NOW).why is Why.SHUT
    given = link_for("owner", job_id=link.job_id, party_id=link.party_id, at=NOW)
    assert open_link(token(given), at=NOW).why is None
    assert open_link(old, at=NOW).why is Why.RENEWED


def test_a_token_of_a_generation_that_never_was_is_not_ours() -> None:
    link = _link()
    ahead = Link(pk=link.pk, generation=link.generation + 1)
    assert open_link(token(ahead), at=NOW).why is Why.NOT_OURS
    assert open_link("x" * 32, at=NOW).why is Why.NOT_OURS
    assert open_link("", at=NOW).link is None


def test_a_link_remembers_when_it_was_first_opened() -> None:
    link = _link()
    opened(link, at=NOW)
    link.refresh_from_db()
    opened(link, at=NOW + timedelta(days=1))
    link.refresh_from_db()
    assert link.opened_at == NOW
