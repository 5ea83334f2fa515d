"""Questions whose SQL is built once answer the same as their querysets, for every value, thread and connection."""

import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import partial
from inspect import signature
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, models, transaction
from django.db.models import Value
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver

from jobs.bench.models import BenchNote
from jobs.bench.reads import clocks_of, work_of
from jobs.book.models import Hold, Item, Job, Press
from jobs.book.stages import OPEN_STAGES, Stage
from jobs.links.steps import link_for
from jobs.moves import facts
from jobs.photos.steps import receive
from jobs.updates.models import Message, OwnWords
from shop.people.reads import names_who
from shop.people.roles import Act, Role
from shop.prepared import Prepared
from tests import factory
from tests.factory import NOW
from tests.photos.pictures import coded, sent
from tests.side_by_side import on_a_file, together


@pytest.fixture
def job(db: None) -> Job:
    factory.shop()
    jorin = factory.person(Role.TECHNICIAN)
    job = factory.job(Stage.RDY, assigned=jorin, value_stated="1250.500", missing_views={"back": "in its case"})
    line = factory.approved(job, "Fit a new bridge")[0]
    job.spells.create(person=jorin, line=line, started_at=NOW)
    Hold.objects.create(job=job, kind="parts", words="strings", laid_at=NOW)
    BenchNote.objects.create(job=job, words="The seam is open.", at=NOW, by=jorin)
    receive(sent(coded("JPEG")), purpose="intake", by=jorin, at=NOW, send_key="a-key-for-a-photo", job=job)
    Press.objects.create(key="a-key-of-a-press", action="move", at=NOW, made={"job": job.pk})
    party = job.roles.all()[0].party
    link = link_for("owner", job_id=job.pk, party_id=party.pk, at=NOW)
    entry = job.entries.create(action="job.moved", at=NOW, by=jorin, data={"to": "RDY"})
    job.entries.create(action="job.put_on_item", at=NOW, by=jorin, data={"from": job.item_id, "to": job.item_id})
    OwnWords.objects.create(kind="stage-RDY", version=1, subject="s", body="b", since=NOW, made_by=jorin)
    Message.objects.create(
        job=job, party=party, entry=entry, kind="stage-RDY", channel="email", message_id="<1@example.org>",
        subject="s", body="b", link=link, made_at=NOW, due_at=NOW,
    )  # fmt: skip
    return job


def _questions() -> Iterator[tuple[str, Prepared[Any]]]:
    assert get_resolver().url_patterns, "which imports every page"
    for name in sorted(sys.modules):
        if name.startswith(("jobs.", "shop.")):
            for kept, one in vars(sys.modules[name]).items():
                if isinstance(one, Prepared):
                    yield f"{name}.{kept}", one


def _plain(row: Any) -> Any:
    """A row as plain values: fields, annotations, and what was loaded beside it."""
    if not isinstance(row, models.Model):
        return row
    beside = {name: _plain(of) for name, of in row._state.fields_cache.items()}
    return type(row), {name: value for name, value in vars(row).items() if name != "_state"}, beside


def _same(one: Prepared[Any], *given: Any) -> list[Any]:
    theirs = [_plain(row) for row in one.build(*given)]
    for _ in range(2):
        assert [_plain(row) for row in one(*given)] == theirs
    return theirs


def test_every_question_of_the_shop_answers_as_its_queryset_does(job: Job) -> None:
    other = factory.job(Stage.BEN)
    clocks_of(job, work_of(job), factory.person(), at=NOW)
    values: dict[str, list[Any]] = {
        "job": [job.pk, other.pk, 0],
        "number": [job.number, other.number, "26-9999", "'; --"],
        "item": [job.item_id, other.item_id],
        "person": [job.assigned_id, factory.person().pk],
        "party": [job.roles.all()[0].party_id],
        "code": [job.item.tags.get().code, "7K2M9QWD"],
        "key": ["a-key-of-a-press", "another-key"],
        "entry": [job.entries.get(action="job.moved").pk],
    }  # fmt: skip
    kinds = {"jobs.links.steps": ["owner"], "jobs.updates.steps": ["stage-RDY", "stage-BEN"]}
    found = set()
    with transaction.atomic():  # some of them lock
        for name, one in _questions():
            asked = {**values, "kind": kinds.get(name.rpartition(".")[0], [])}
            blanks = list(signature(one.build).parameters)
            rows = []
            for turn in range(max(map(len, asked.values()))):
                rows += _same(one, *(asked[blank][turn % len(asked[blank])] for blank in blanks))
            if rows:
                found.add(name)
    assert found == {name for name, _ in _questions()}, "each found something to compare"
    assert len(found) >= 15


@pytest.mark.parametrize("stage", OPEN_STAGES)
def test_the_facts_of_each_stage_are_read_as_their_queryset_reads_them(job: Job, stage: Stage) -> None:
    one = facts._asking(facts.NEEDED[stage])
    assert _same(one, job.pk) == [facts.found_of(job.pk, facts.NEEDED[stage])]


def test_people_are_named_by_the_act_asked_for(job: Job) -> None:
    factory.person(Role.BOOKS)
    assert [name for _, name in names_who(Act.MOVE)] == ["Jorin Pellwick", "Maris Quillby", "Tobiah Wrenfield"]
    assert [name for _, name in names_who(Act.INVOICE)] == ["Bookkeeper Person", "Maris Quillby"]


def test_values_become_what_their_columns_say(job: Job) -> None:
    """Decimals, booleans, moments and JSON, which SQLite stores as text or numbers."""
    one = Prepared(
        lambda pk: (
            Job.objects.filter(pk=pk)
            .annotate(
                some=models.Exists(Job.objects.filter(pk=models.OuterRef("pk"))), none=Value(None, models.DateField())
            )
            .values("value_stated", "stage_since", "missing_views", "closed_at", "some", "none")
        )
    )
    row = one.first(job.pk)
    assert row is not None
    assert (str(row["value_stated"]), row["missing_views"], row["some"]) == ("1250.500", {"back": "in its case"}, True)
    assert row["stage_since"] == job.stage_since
    assert row["stage_since"].tzinfo is not None
    assert row["none"] is row["closed_at"] is None


@pytest.mark.django_db
def test_what_was_asked_before_does_not_show_in_the_next_answer() -> None:
    one = Prepared(lambda title, size: Item.objects.filter(title=title, size=size).values_list("pk", flat=True))
    violin = factory.item(title="The “100 % ’s” violin; --")
    assert one("The “100 % ’s” violin; --", "4/4") == [violin.pk]
    assert one("4/4", "The “100 % ’s” violin; --") == []
    cello = factory.item(kind="Vc", title="Cello")
    assert (one.first("Cello", "4/4"), one.first("Cello", "3/4")) == (cello.pk, None)
    violin.delete()
    assert one("The “100 % ’s” violin; --", "4/4") == []


@pytest.mark.django_db
def test_the_sql_is_built_once_and_every_answer_is_one_query() -> None:
    built = []

    def build(title: Any) -> models.QuerySet[Item]:
        built.append(title)
        return Item.objects.filter(title=title, made_at__lt=datetime(2100, 1, 1, tzinfo=UTC))

    one = Prepared(build)
    factory.item(title="Cello")
    with CaptureQueriesContext(connection) as seen:
        for _ in range(3):
            assert [item.title for item in one("Cello")] == ["Cello"]
    assert (len(built), len(seen)) == (1, 3)


@pytest.mark.django_db(transaction=True)
def test_threads_ask_over_their_own_connection_at_the_same_time(tmp_path: Path) -> None:
    factory.shop()
    jobs = [factory.job(Stage.QUE, number=f"26-{number:04}") for number in range(1, 9)]
    one = Prepared(lambda number: Job.objects.select_related("item").filter(number=number))

    def ask(job: Job) -> list[tuple[int, int]]:
        return [(found.pk, found.item.pk) for _ in range(60) for found in one(job.number)]

    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        answers = together(open_file, *(partial(ask, job) for job in jobs))
    assert answers == [[(job.pk, job.item_id)] * 60 for job in jobs]
    assert one(jobs[0].number)[0].pk == jobs[0].pk, "and over the first connection again"
