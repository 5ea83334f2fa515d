"""Photos on a paper: small, made in time even when the worker was not, and a lost one stops nothing."""

from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.db import transaction

from jobs.papers.pictures import pictures
from jobs.papers.regions import pieces
from jobs.papers.steps import freeze, print_paper
from jobs.photos.models import Photo
from jobs.photos.steps import receive
from tests import factory
from tests.factory import NOW
from tests.papers import samples

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(tmp_path_factory: pytest.TempPathFactory, settings: Any) -> None:
    """The demo shop and its key."""
    settings.SHOP_HOME = tmp_path_factory.getbasetemp()
    factory.shop()


def taken(number: int) -> Photo:
    """A photo as a tablet sends it: large, and not made small yet."""
    sent = ContentFile(samples.drawn_picture(number, (1600, 1200)), name=f"{number}.jpg")
    return receive(sent, purpose="intake", by=None, at=NOW, send_key=f"picture-{number:04}")


def test_photos_are_laid_in_small_before_the_worker_has_made_them() -> None:
    photos = [taken(number) for number in range(1, 4)]
    images = {photo.sha256: b"" for photo in photos}
    with transaction.atomic():
        paper = freeze(samples.note(images=images), by=None, at=NOW, photos=photos, signatures=samples.signed())
    assert [row.photo for row in paper.photos.order_by("pk")] == photos
    small = pictures(paper, at=NOW)
    assert small.keys() == images.keys()
    assert all(len(one) < 120_000 for one in small.values())
    pdf = print_paper(paper.pk, at=NOW)
    assert pdf is not None
    assert sum(b"/Subtype/Image" in piece.head for piece in pieces(pdf)) == 3


def test_a_photo_whose_file_is_lost_leaves_its_frame_and_its_hash_on_the_paper() -> None:
    kept, lost = taken(11), taken(12)
    images = {photo.sha256: b"" for photo in (kept, lost)}
    with transaction.atomic():
        paper = freeze(samples.note(images=images), by=None, at=NOW, photos=[kept, lost])
    lost.original.storage.delete(lost.original.name or "")
    assert list(pictures(paper, at=NOW)) == [kept.sha256]
    pdf = print_paper(paper.pk, at=NOW)
    assert pdf is not None
    assert sum(b"/Subtype/Image" in piece.head for piece in pieces(pdf)) == 1
    assert lost.sha256 in paper.text
