"""/healthz answers 200 only when web, database and both workers are up."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import OperationalError
from django.test import RequestFactory

from shop.profile.models import Heartbeat
from shop.profile.tasks import heartbeat
from shop.starting import health

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def beat(name: str, seconds_ago: float) -> None:
    Heartbeat.objects.update_or_create(name=name, defaults={"at": NOW - timedelta(seconds=seconds_ago)})


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("shop", "messages", "words"),
    [
        (1, 29.9, "ok"),
        (30, 1, "no heartbeat from shop"),
        (1, 30, "no heartbeat from messages"),
        (31, 3600, "no heartbeat from shop and messages"),
        (None, 1, "no heartbeat from shop"),
    ],
)
def test_each_worker_has_to_have_been_alive_within_thirty_seconds(
    shop: float | None, messages: float, words: str
) -> None:
    if shop is not None:
        beat("shop", shop)
    beat("messages", messages)
    found = health.look(at=NOW)
    assert found.worker == words
    assert found.well == (words == "ok")


@pytest.mark.django_db
def test_the_answer_is_503_until_the_workers_have_written_their_sign_and_200_after() -> None:
    request = RequestFactory().get("/healthz")
    answer = health.healthz(request)
    assert answer.status_code == 503
    assert b'"worker": "no heartbeat from shop and messages"' in answer.content
    for name in health.WORKERS:
        heartbeat(name)
    answer = health.healthz(request)
    assert answer.status_code == 200
    assert answer.content == b'{"web": "ok", "database": "ok", "worker": "ok"}'
    assert "no-store" in answer["Cache-Control"]


def test_a_database_that_does_not_answer_is_said_in_the_same_form(monkeypatch: pytest.MonkeyPatch) -> None:
    def away(**_: object) -> None:
        raise OperationalError("the server closed the connection")

    monkeypatch.setattr(Heartbeat.objects, "filter", away)
    answer = health.healthz(RequestFactory().get("/healthz"))
    assert answer.status_code == 503
    assert answer.content == b'{"web": "ok", "database": "does not answer", "worker": "not known"}'


@pytest.mark.django_db
def test_health_is_one_query(django_assert_num_queries: pytest.FixtureRequest) -> None:
    with django_assert_num_queries(1):  # type: ignore[operator]
        health.look(at=NOW)
