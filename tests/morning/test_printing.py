"""Today's list on paper, read back with poppler (an independent reader of PDF)."""

import subprocess
from datetime import timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image, ImageChops

from jobs.book.models import Hold
from jobs.book.stages import Stage
from jobs.morning.printing import list_of, printed
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW
from tests.morning.test_today import letter, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.needs_poppler]


def read(pdf: bytes, tmp_path: Path) -> tuple[str, str]:
    """Its words and what pdfinfo says of it."""
    path = tmp_path / "list.pdf"
    path.write_bytes(pdf)
    text = subprocess.run(["pdftotext", path, "-"], capture_output=True, text=True, check=True).stdout
    info = subprocess.run(["pdfinfo", path], capture_output=True, text=True, check=True).stdout
    # lines are broken and names keep their own direction: only the words count
    return " ".join(text.replace("\u2068", "").replace("\u2069", "").split()), info


def sheet(kind: str, tmp_path: Path, role: Role = Role.HEAD, **shop: object) -> tuple[str, str]:
    pdf = printed(list_of(kind, factory.person(role), shop=factory.shop(**shop), at=NOW), at=NOW)
    return read(pdf, tmp_path)


def test_the_benches_list_is_by_person_without_owners_or_money(tmp_path: Path) -> None:
    jorin, tobiah = factory.person(Role.TECHNICIAN), factory.person(Role.LUTHIER)
    job = factory.job(Stage.BEN, assigned=jorin, work="new bridge", promised=NOW.date() + timedelta(days=2))
    Hold.objects.create(job=job, kind="parts", words="endpin", laid_at=NOW)
    factory.job(Stage.QUE, assigned=tobiah, work="open seam")
    loose = factory.job(Stage.QUE, agreed_net=234)
    text, info = sheet("bench", tmp_path)
    assert text.index("Jorin Pellwick") < text.index("Tobiah Wrenfield") < text.index("Nobody has it")
    for said in (
        "Wednesday 25 November 2026",
        job.short,
        loose.short,
        "new bridge",
        "waits for parts: endpin",
        "for Fri 27 Nov",
    ):
        assert said in text
    assert "Rookstone" not in text
    assert "234" not in text
    assert "Pages:           1" in info


def test_the_desks_list_says_who_comes_and_whom_to_call(tmp_path: Path) -> None:
    child = factory.party("Adaeze Sandhollow", minor=True)
    owner = factory.party("Wendeline Ashgrove", email="", phone="+441632960123")
    factory.job(Stage.EXP, owner=child, promised=NOW.date(), ready=False)
    ready = factory.job(Stage.RDY, owner=owner)
    letter(ready, "byhand")
    text, _ = sheet("desk", tmp_path, Role.DESK)
    for said in (
        "Comes today",
        "a young player",
        "To call or write",
        "Wendeline Ashgrove",
        "+44 1632 960123",
        "owner not told",
    ):
        assert said in text
    assert "Adaeze" not in text


# ISO 216 A4 is 210 × 297 mm, ANSI Letter 8.5 × 11 in; in points of 1/72 in
@pytest.mark.parametrize(
    ("page", "size"), [("a4", "595.276 x 841.89 pts (A4)"), ("us-letter", "612 x 792 pts (letter)")]
)
def test_it_is_printed_on_the_shops_paper_in_black(page: str, size: str, tmp_path: Path) -> None:
    for n in range(12):
        factory.job(Stage.BEN, assigned=factory.person(Role.TECHNICIAN), work=f"work {n}")
    _, info = sheet("bench", tmp_path, page=page)
    assert size in info
    path = tmp_path / "list"
    subprocess.run(["pdftoppm", "-r", "40", "-png", tmp_path / "list.pdf", path], check=True)
    picture = Image.open(next(tmp_path.glob("list*.png"))).convert("RGB")
    assert ImageChops.difference(picture, picture.convert("L").convert("RGB")).getbbox() is None


def test_an_empty_day_still_prints(tmp_path: Path) -> None:
    text, _ = sheet("desk", tmp_path)
    assert "Nothing is written down for today." in text


def test_names_that_try_to_be_markup_are_words(tmp_path: Path) -> None:
    factory.job(Stage.BEN, assigned=factory.person(Role.TECHNICIAN), work="#panic() $x$ *bold* 提琴 ❤️‍🔥")
    text, _ = sheet("bench", tmp_path)
    assert "#panic()" in text
    assert "*bold*" in text


@pytest.mark.parametrize(("role", "kind", "code"), [
    (Role.DESK, "desk", 200), (Role.DESK, "bench", 200), (Role.TECHNICIAN, "bench", 200), (Role.TECHNICIAN, "desk", 403),
    (Role.BOOKS, "desk", 200), (Role.HEAD, "", 200), (Role.OUTSIDE, "bench", 403),
])  # fmt: skip
def test_each_role_prints_what_it_may_read(role: Role, kind: str, code: int) -> None:
    factory.shop()
    client: Client = signed_in(role)
    answer = client.get(reverse("morning:list"), {"for": kind})
    assert answer.status_code == code
    if code == 200:
        assert answer["Content-Type"] == "application/pdf"
