"""What opens when a tag is scanned, for whom."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.book.models import Job
from jobs.book.stages import Stage
from jobs.tags.models import Tag
from jobs.tags.steps import reissue
from shop.people.models import Person
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def job() -> Job:
    factory.shop(telephone="+44 5550 100", email="desk@example.org")
    owner = factory.party("Imelda Rookstone", phone="+445550177", address="9 Weir Lane")
    job = factory.job(Stage.BEN, owner=owner, work="New bridge", said="It buzzes on the G string.", kind="internal")
    job.item.labelled = "Vosterlind, 1883"
    job.item.save(update_fields=["labelled"])
    return job


def code(job: Job) -> str:
    return Tag.objects.get(item=job.item, dead_at=None).code


def _live(job: Job) -> int:
    return Tag.objects.get(item=job.item, dead_at=None).pk


def staff(client: Client, role: Role = Role.LUTHIER) -> Person:
    person = factory.person(role)
    client.force_login(person, backend=BACKEND)
    return person


def test_a_technician_who_scans_sees_the_job_in_the_hand(client: Client, job: Job) -> None:
    staff(client, Role.TECHNICIAN)
    page = client.get(f"/T/{code(job)}")
    assert page.status_code == 200
    assert "What may be done next" in page.content.decode()
    assert f"/bench/{job.number}/move/" in page.content.decode()


@pytest.mark.parametrize("spell", [str.lower, lambda code: f"{code[:4]} {code[4:]}", lambda code: code + "/"])
def test_the_path_forgives_case_and_gaps(client: Client, job: Job, spell: object) -> None:
    assert callable(spell)
    staff(client)
    for prefix in ("/t/", "/T/"):
        page = client.get(prefix + spell(code(job)))
        assert page.status_code == 200
        assert job.item.title in page.content.decode()


SECRETS = (
    "Rookstone",
    "Imelda",
    "+445550177",
    "Weir Lane",
    "Violin",
    "New bridge",
    "buzzes",
    "Vosterlind",
    "R2-6",
    "26-",
)


@pytest.mark.parametrize("role", [None, Role.OUTSIDE])
def test_anyone_else_sees_only_where_to_bring_it(client: Client, job: Job, role: Role | None) -> None:
    if role:
        staff(client, role)
    page = client.get(f"/T/{code(job)}").content.decode()
    assert "Marrowfen Strings Workshop" in page
    assert "3 Tannery Yard" in page
    assert "+44 5550 100" in page
    assert not [secret for secret in SECRETS if secret in page]


def test_a_stranger_reads_the_same_of_a_live_a_dead_and_an_unknown_code(client: Client, job: Job) -> None:
    dead = code(job)
    reissue(job.item, torn=_live(job), reason="torn", by=factory.person(Role.DESK), at=NOW)
    pages = {path: client.get(f"/T/{path}") for path in (code(job), dead, "00000000", "NOT-A-CODE", "🎻")}
    assert [page.status_code for page in pages.values()] == [200, 200, 404, 404, 404]
    texts = {page.content.decode().replace(reverse("scan:tag", args=[path]), "") for path, page in pages.items()}
    assert len({text.split("next=")[0] for text in texts}) == 1


def test_the_sign_in_link_of_the_found_page_comes_back_here(client: Client, job: Job) -> None:
    page = client.get(f"/T/{code(job)}").content.decode()
    assert f"?next=%2FT%2F{code(job)}" in page
    person = factory.person(Role.LUTHIER)
    answer = client.post(
        f"{reverse('people:sign-in')}?next=/T/{code(job)}",
        {"username": person.username, "password": factory.PASSWORD, "next": f"/T/{code(job)}"},
    )
    assert answer.status_code == 302
    assert answer["Location"] == f"/T/{code(job)}"


def test_someone_who_has_left_is_a_stranger_again(client: Client, job: Job) -> None:
    person = staff(client)
    Person.objects.filter(pk=person.pk).update(is_active=False)
    page = client.get(f"/T/{code(job)}").content.decode()
    assert "What may be done next" not in page
    assert job.item.title not in page


def test_staff_are_told_that_a_tag_is_dead_and_which_is_live(client: Client, job: Job) -> None:
    dead = code(job)
    live = reissue(job.item, torn=_live(job), reason="torn off", by=factory.person(Role.DESK), at=NOW)
    assert live is not None
    staff(client)
    page = client.get(f"/T/{dead}").content.decode()
    assert "is dead since" in page
    assert "torn off" in page
    assert f"{live.code[:4]} {live.code[4:]}" in page
    assert reverse("scan:tag", args=[live.code]) in page


def test_staff_are_told_when_no_tag_has_the_code(client: Client, job: Job) -> None:
    staff(client)
    page = client.get("/T/0000-0000")
    assert page.status_code == 404
    assert "No tag of this shop has the code 0000 0000" in page.content.decode()


def test_two_open_jobs_are_a_choice(client: Client, job: Job) -> None:
    other = factory.job(Stage.EXA, item=job.item, ready=False, work="Warranty seam", kind="warranty")
    staff(client)
    page = client.get(f"/T/{code(job)}").content.decode()
    for each in (job, other):
        assert reverse("scan:bench", args=[each.number]) in page
        assert each.work in page
    assert "What may be done next" not in page


def test_a_closed_job_beside_an_open_one_is_no_choice(client: Client, job: Job) -> None:
    factory.job(Stage.HOME, item=job.item, ready=False, closed_at=NOW, closed_as="home")
    staff(client)
    assert "What may be done next" in client.get(f"/T/{code(job)}").content.decode()


def test_an_item_without_an_open_job_shows_its_last(client: Client, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(closed_at=NOW, closed_as="home", stage=Stage.HOME)
    staff(client)
    page = client.get(f"/T/{code(job)}").content.decode()
    assert "No job is open on it" in page
    assert job.number in page


def test_a_young_player_is_not_named_at_the_bench(client: Client, job: Job) -> None:
    job.item.owner.minor = True  # type: ignore[union-attr]
    job.item.owner.save(update_fields=["minor"])  # type: ignore[union-attr]
    staff(client)
    page = client.get(f"/T/{code(job)}").content.decode()
    assert "a young player" in page
    assert "Rookstone" not in page


def test_the_page_behind_a_tag_asks_thirteen_questions_at_most(client: Client, job: Job) -> None:
    # targets.md "scan": at most 12 queries more than loading the signed-in person (session and person)
    factory.approved(job, "New bridge", "New soundpost")
    for kind in ("parts", "owner"):
        job.holds.create(kind=kind, laid_at=NOW)
    staff(client)
    address = f"/T/{code(job)}"
    client.get(address)
    with CaptureQueriesContext(connection) as seen:
        assert client.get(address).status_code == 200
    assert len(seen) - 2 <= 13, [query["sql"][:120] for query in seen]


def test_a_code_that_would_turn_the_sentence_round_is_shown_without_its_turns(client: Client, job: Job) -> None:
    staff(client)
    page = client.get("/T/%E2%80%AEK4PQ").content.decode()
    assert "has the code K4PQ." in page
