"""The pages on which a job, its people and its photos are put right, and papers printed again."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.book.models import Entry, Item, Job, JobParty
from jobs.book.stages import Stage
from jobs.custody.models import Release
from jobs.papers.models import Paper, PaperPhoto
from jobs.photos.models import Photo
from jobs.photos.steps import receive
from jobs.tags.models import Tag
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.photos.pictures import coded, sent
from tests.rules.world import world

pytestmark = pytest.mark.django_db
KEY = "one-press-only"


@pytest.fixture
def job() -> Job:
    factory.shop()
    return factory.job(Stage.BEN, owner=factory.party("Imelda Rookstone", phone="+442079460155"), number="26-0417")


def signed_in(role: Role = Role.DESK) -> Client:
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


def url(name: str, job: Job) -> str:
    return reverse(f"register:{name}", args=[job.number])


def form(job: Job, **more: Any) -> dict[str, Any]:
    return {"key": KEY, "seen": job.revision, "reason": "two cases", **more}


def test_items_are_offered_and_found_by_tag_number_asset_and_label(job: Job) -> None:
    client = signed_in()
    theirs = factory.item(job.item.owner, title="Viola 16 in", kind="Va")
    other = factory.job(
        Stage.BEN,
        number="26-0999",
        item=factory.item(factory.party(), title="Cello 4/4", asset="KV-104", labelled="anno 1799"),
    )
    page = client.get(url("put-right", job)).content.decode()
    assert f'value="{theirs.pk}"' in page
    assert f'value="{job.item_id}" required' not in page
    code = Tag.objects.get(item=other.item).code
    for typed in (code, code.lower(), "0999", "26-0999", "kv-104", "1799"):
        found = client.get(url("put-right", job), {"item": typed}).content.decode()
        assert "Cello 4/4" in found, typed
    assert "Nothing else in the book" in client.get(url("put-right", job), {"item": "zzz nothing"}).content.decode()


def test_two_that_look_alike_can_be_chosen_apart(job: Job) -> None:
    one, other = factory.item(job.item.owner, title="Viola"), factory.item(job.item.owner, title="Viola")
    page = signed_in().get(url("put-right", job)).content.decode()
    assert f"Viola, no. {one.pk} in the book" in page
    assert f"Viola, no. {other.pk} in the book" in page


def test_a_luthier_puts_the_item_right_and_sees_no_people(job: Job) -> None:
    client = signed_in(Role.LUTHIER)
    page = client.get(url("put-right", job), {"who": "Imelda"}).content.decode()
    assert "It is another instrument" in page
    assert "Imelda" not in page
    assert client.post(url("change-party", job), form(job)).status_code == 403
    new = {"item": "new", "kind": "Va", "size": "16 in"}
    assert client.post(url("put-on-item", job), form(job, **new)).status_code == 302
    assert Job.objects.get(pk=job.pk).item.title == "Viola 16 in"


def test_a_double_press_moves_it_once_and_an_old_page_is_told(job: Job) -> None:
    client, right = signed_in(), factory.item(job.item.owner)
    for _ in range(2):
        assert client.post(url("put-on-item", job), form(job, item=right.pk)).status_code == 302
    assert Entry.objects.filter(action="job.put_on_item").count() == 1
    late = client.post(url("put-on-item", job), form(job, item=factory.item().pk, key="another-press"))
    assert late.status_code == 409
    assert "changed in the meantime" in late.content.decode()


@pytest.mark.parametrize(
    "odd",
    [{"item": "99999"}, {"item": ""}, {"item": "new", "kind": "Xx"}, {"key": "", "item": "new", "kind": "Va"},
     {"seen": "x", "item": "new", "kind": "Va"}, {"reason": "", "item": "new", "kind": "Va"},
     {"item": "new", "kind": "Va", "size": "1" * 40}, {"item": "9" * 30}],
)  # fmt: skip
def test_odd_forms_are_refused_in_words_and_change_nothing(job: Job, odd: dict[str, Any]) -> None:
    answer = signed_in().post(url("put-on-item", job), form(job, **odd))
    assert answer.status_code == 422
    assert 'class="fault" role="alert"' in answer.content.decode()
    assert (Item.objects.count(), Job.objects.get(pk=job.pk).revision) == (1, 1)


def test_people_are_found_told_apart_and_put_in_place(job: Job) -> None:
    client = signed_in()
    right = factory.party("Imelda Rookstone", address="2 Mill Row")
    page = client.get(url("put-right", job), {"who": "rookstone"}).content.decode()
    assert "2 Mill Row" in page
    assert "telephone …0155" not in page.split("In the place of Imelda Rookstone")[1].split("</form>")[0]
    sent_form = form(job, was=job.item.owner_id, to=right.pk, role=["owner", "approver", "payer", "collector"])
    answer = client.post(url("change-party", job), sent_form, follow=True)
    assert "It is put right." in answer.content.decode()
    assert JobParty.objects.filter(job=job, party=right).count() == 4
    assert "put Rookstone in the place of Rookstone" in answer.content.decode()


def photo(job: Job) -> Photo:
    return receive(sent(coded("JPEG")), purpose="bench", by=factory.person(Role.DESK), at=NOW, send_key=KEY, job=job)


def move_url(photo: Photo) -> str:
    return reverse("register:picture-move", args=[photo.pk])


def test_a_photo_is_moved_by_a_typed_number_and_taken_back(job: Job) -> None:
    client, taken, other = signed_in(), photo(job), factory.job(Stage.BEN, number="26-0999")
    answer = client.post(move_url(taken), {"do": "move", "on": job.pk, "other": "0999"}, follow=True)
    assert "Take the move back, to 26-0417" in answer.content.decode()
    assert Photo.objects.get().job == other
    client.post(move_url(taken), {"do": "back", "on": other.pk})
    assert Photo.objects.get().job == job
    # the old page once more: it is not there any more
    assert client.post(move_url(taken), {"do": "back", "on": other.pk}).status_code == 409
    assert client.post(move_url(taken), {"do": "back", "on": job.pk}).status_code == 422


@pytest.mark.parametrize("odd", [{"other": "nobody's"}, {"other": "26-9999"}, {}, {"other": "17"}, {"other": "0417"}])
def test_a_photo_stays_where_nothing_sensible_is_said(job: Job, odd: dict[str, str]) -> None:
    taken = photo(job)
    assert signed_in().post(move_url(taken), {"do": "move", "on": job.pk, **odd}).status_code == 422
    assert Photo.objects.get().job == job


def test_a_photo_of_a_note_offers_the_other_way(job: Job) -> None:
    client, taken, other = signed_in(), photo(job), factory.job(Stage.BEN)
    note = Paper.objects.create(
        kind="note", number="N26-0012", visit=job.visit, text="{}", text_sha256="a" * 64, position=1, at=NOW
    )
    PaperPhoto.objects.create(paper=note, photo=taken, sha256=taken.sha256)
    page = client.get(reverse("register:picture", args=[taken.pk])).content.decode()
    assert "The condition note N26-0012 names this photo" in page
    assert 'value="move"' not in page
    assert client.post(move_url(taken), {"do": "move", "on": job.pk, "other": other.number}).status_code == 422
    client.post(move_url(taken), {"do": "also", "other": other.number})
    there = client.get(reverse("desk:job", args=[other.number])).content.decode()
    assert "from another job" in there
    client.post(move_url(taken), {"do": "not-also", "job": other.number})
    assert "from another job" not in client.get(reverse("desk:job", args=[other.number])).content.decode()


def test_a_paper_printed_again_is_the_same_file_and_an_entry() -> None:
    shop, client = world(), signed_in(Role.BOOKS)
    before = b"".join(client.get(reverse("desk:paper", args=[shop.paper.pk])))  # the file as it was sealed
    answer = client.post(reverse("register:reprint", args=[shop.paper.pk]), follow=True)
    assert answer.content == before
    assert before.startswith(b"%PDF")
    entry = Entry.objects.get(action="paper.reprinted")
    assert entry.data == {"paper": shop.paper.pk, "kind": "receipt", "number": shop.paper.number}
    assert signed_in(Role.TECHNICIAN).post(reverse("register:reprint", args=[shop.paper.pk])).status_code == 403


def test_the_release_says_that_the_note_names_another_item(job: Job) -> None:
    Paper.objects.create(
        kind="note", number="N26-0012", visit=job.visit, text="{}", text_sha256="a" * 64, position=90, at=NOW
    )
    client = signed_in(Role.HEAD)
    client.post(url("put-on-item", job), form(job, item=factory.item(job.item.owner, title="Viola 16 in").pk))
    words = "The condition note N26-0012 names another item, Violin 4/4. Put right to Viola 16 in by Ottilie"
    assert words in client.get(reverse("desk:job", args=[job.number])).content.decode()
    Job.objects.filter(pk=job.pk).update(stage=Stage.RDY, kind="warranty")
    at = reverse("handover:release", args=[job.number])
    assert words in client.get(at).content.decode()
    given = {
        "key": "hand-over-once", "collector": job.item.owner_id,
        "collector_name": "Imelda", "identity_note": "known to us", "typed_name": "Imelda", "witness": "Ottilie",
    }  # fmt: skip
    page = client.get(at).content.decode()
    key = page.split('name="thing" value="')[1].split('"')[0]
    client.post(at, {**given, "thing": [key]})
    paper = Release.objects.get().paper
    assert paper is not None
    assert words in paper.text
