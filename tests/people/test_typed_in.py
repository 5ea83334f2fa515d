"""What hostile or clumsy hands type: NUL, numbers without end, commas in the wrong place."""

from decimal import Decimal

import pytest
from django.http import HttpRequest, HttpResponse, QueryDict
from django.test import Client
from django.urls import reverse

from jobs.bench.models import BenchNote, WorkSpell
from jobs.book.models import Job
from jobs.book.stages import Stage
from shop.money import NotMoneyError
from shop.nul import NulMiddleware
from shop.people.roles import Role
from shop.typed import amount, whole
from tests import factory

BACKEND = "django.contrib.auth.backends.ModelBackend"


def test_a_word_loses_its_nul_and_nothing_else() -> None:
    request = HttpRequest()
    request.method, request.path_info = "POST", "/"
    request.POST = QueryDict("wo%00rds=a%00b&words=%D7%A9&words=%00")
    request.GET = QueryDict("x=%00y")
    request.COOKIES = {"good": "1", "bad": "a\x00"}
    middleware = NulMiddleware(lambda _request: HttpResponse())
    middleware(request)
    middleware.process_view(request)
    assert dict(request.POST.lists()) == {"words": ["ש", ""]}
    assert request.GET["x"] == "y"
    assert request.COOKIES == {"good": "1"}


def test_what_holds_no_nul_is_left_as_it_came() -> None:
    request = HttpRequest()
    request.method, request.path_info = "POST", "/"
    sent = QueryDict("words=%F0%9F%8E%BB&words=2")
    request.POST = sent
    NulMiddleware(lambda _request: HttpResponse()).process_view(request)
    assert request.POST is sent


@pytest.fixture
def job(db: None) -> Job:
    factory.shop()
    return factory.job(Stage.BEN, kind="internal", work="clean and string", assigned=factory.person(Role.TECHNICIAN))


@pytest.fixture
def jorin(job: Job) -> Client:
    client = Client()
    client.force_login(factory.person(Role.TECHNICIAN), backend=BACKEND)
    return client


def test_a_note_with_a_nul_is_kept_without_it(jorin: Client, job: Job) -> None:
    answer = jorin.post(reverse("scan:note", args=[job.number]), {"words": "pegs\x00 slip", "key": "one-press-only"})
    assert answer.status_code == 302
    assert BenchNote.objects.get(job=job).words == "pegs slip"


def test_an_address_with_a_nul_is_not_here(jorin: Client) -> None:
    for address in ("/rails/%00/", "/job/26%00/", "/bench/%00/"):
        assert jorin.get(address).status_code == 404


@pytest.mark.parametrize(
    ("name", "field"),
    [("board:move", "seen"), ("board:lift", "hold"), ("scan:move", "seen"), ("desk:lift", "hold")],
)
def test_a_number_without_end_is_an_old_page_and_no_fault_of_the_shop(
    jorin: Client, job: Job, name: str, field: str
) -> None:
    sent = {field: "9" * 5000, "to": "QUE", "key": "one-press-only"}
    assert jorin.post(reverse(name, args=[job.number]), sent).status_code == 422


def test_a_line_number_without_end_is_no_line(jorin: Client, job: Job) -> None:
    answer = jorin.post(reverse("scan:start", args=[job.number]), {"line": "9" * 5000, "key": "one-press-only"})
    assert answer.status_code == 302  # free of charge: the clock runs on the whole of it
    assert WorkSpell.objects.get(job=job).line is None


@pytest.mark.parametrize("text", ["", "-1", "1.0", "9" * 16, "9" * 5000, "²", "0x1", "1_0", " 5"])
def test_what_is_no_id_is_no_row(text: str) -> None:
    assert whole(text) == 0


@pytest.mark.parametrize(
    ("text", "held"),
    [("2400", "2400"), (" 2,400.50 ", "2400.50"), ("2 400", "2400"), ("1’234.5", "1234.5"), ("-3", "-3")],
)
def test_an_amount_is_read_as_it_is_written(text: str, held: str) -> None:
    assert amount(text) == Decimal(held)


@pytest.mark.parametrize(
    "text", ["", "284,24", "1,5", "1,23,456", "1e400", "NaN", "Infinity", "١٢٣", "1_0", "0x1", "1.000.000", "9" * 5000]
)
def test_what_may_be_another_amount_is_asked_again(text: str) -> None:
    with pytest.raises(NotMoneyError):
        amount(text)
