"""The money pages as people press them: change, refusals in words, second presses, stale pages, wrong roles."""

import subprocess
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.billing.drawer_reads import drawer
from jobs.billing.models import CreditNote, DrawerCount, Invoice, Payment
from jobs.billing.reads import due_of
from jobs.book.models import Job
from jobs.book.stages import Stage
from shop.people.roles import Role
from tests import factory
from tests.billing.till import bow, count_it, invoice, key, pay, take_back, taken_off

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def job() -> Job:
    factory.shop()
    made = bow()
    invoice(made, at=timezone.now())
    return made


def _as(role: Role) -> Client:
    client = Client()
    client.force_login(factory.person(role), backend="django.contrib.auth.backends.ModelBackend")
    return client


def _post(name: str, role: Role = Role.DESK, *, kwargs: dict[str, Any] | None = None, **data: Any) -> Any:
    return _as(role).post(reverse(name, kwargs=kwargs), {"key": key(), **data})


def _get(name: str, role: Role = Role.DESK, **kwargs: Any) -> str:
    answer = _as(role).get(reverse(name, kwargs=kwargs))
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_change_is_shown_and_the_receipt_is_one_press_away(job: Job) -> None:
    answer = _post("till:payment", kwargs={"number": job.number}, amount="37.60", method="cash", given="50")
    row = Payment.objects.get()
    assert answer["Location"] == reverse("till:received", kwargs={"pk": row.pk})
    page = _get("till:received", pk=row.pk)
    assert "12.40" in page
    assert reverse("desk:paper", kwargs={"pk": row.paper_id}) in page


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"amount": "55.81", "method": "cash"}, "Only 55.80 is owed"),
        ({"amount": "10", "method": "gold"}, "Choose how it was paid"),
        ({"amount": "10", "method": "cash", "given": "9.99"}, "less than 10.00"),
        ({"amount": "10", "method": "card", "given": "20"}, "Only cash gives change"),
        ({"amount": "10", "method": "cash", "given": "a lot"}, "is not an amount"),
        ({"amount": "", "method": "cash"}, "is not an amount"),
    ],
)
def test_what_does_not_fit_is_said_and_what_was_typed_stays(job: Job, data: dict[str, Any], says: str) -> None:
    answer = _post("till:payment", kwargs={"number": job.number}, reference="slip 4711", **data)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert "slip 4711" in answer.content.decode()
    assert not Payment.objects.exists()


def test_a_second_press_shows_the_first_payment(job: Job) -> None:
    data: dict[str, Any] = {"amount": "10.00", "method": "cash", "key": "the-same-press"}
    first = _post("till:payment", kwargs={"number": job.number}, **data)
    again = _post("till:payment", kwargs={"number": job.number}, **data)
    assert first["Location"] == again["Location"]
    assert Payment.objects.count() == 1


def test_taking_back_shows_both_rows_everywhere(job: Job) -> None:
    row = pay(job, "55.80", "card", at=timezone.now())
    answer = _post("till:take-back", kwargs={"pk": row.pk}, reason="")
    assert answer.status_code == 422
    _post("till:take-back", kwargs={"pk": row.pk}, reason="wrong job")
    for page in (
        _get("till:received", pk=row.pk),
        _get("desk:job", number=job.number),
        _get("till:issued", number="2026-0001" if timezone.now().year == 2026 else Invoice.objects.get().number),
        _get("till:payer", pk=row.party_id),
        _get("till:day", on=timezone.now().date()),
    ):
        assert "rongly, reversed" in page
        assert "wrong job" in page
    assert "55.80" in _get("till:money")
    again = _post("till:take-back", kwargs={"pk": row.pk}, reason="wrong job")
    assert "reversed it already" in again.content.decode()


def test_the_desk_writes_no_credit_note_and_the_bench_sees_no_money(job: Job) -> None:
    number = Invoice.objects.get().number
    assert _as(Role.DESK).get(reverse("till:credit", kwargs={"number": number})).status_code == 403
    assert "Credit note" not in _get("till:issued", number=number)
    for name in ("till:money", "till:takings"):
        assert _as(Role.LUTHIER).get(reverse(name)).status_code == 403


def test_a_credit_note_by_lines_and_whole(job: Job) -> None:
    made = Invoice.objects.get()
    line, kwargs = made.lines.get(), {"number": made.number}
    wrong = _post("till:credit", Role.BOOKS, kwargs=kwargs, what="lines", line="999", reason="x")
    assert "out of date" in wrong.content.decode()
    part: dict[str, Any] = {
        "what": "lines",
        "line": str(line.pk),
        f"amount-{line.pk}": "5.80",
        "reason": "one hour too many",
    }
    assert _post("till:credit", Role.BOOKS, kwargs=kwargs, **part).status_code == 302
    assert due_of(job) == D("50.00")
    assert (
        _post("till:credit", Role.BOOKS, kwargs=kwargs, what="all", anew="yes", reason="wrong payer").status_code == 302
    )
    assert [note.gross for note in CreditNote.objects.order_by("pk")] == [D("5.80"), D("50.00")]
    assert not made.of_jobs.get().live, "and a new invoice may follow"
    assert "credited already" in _get("till:credit", Role.BOOKS, number=made.number)


def test_more_is_not_given_back_than_is_overpaid(job: Job) -> None:
    made = Invoice.objects.get()
    kwargs = {"number": made.number}
    pay(job, "55.80", at=timezone.now())
    assert "nothing to refund" in _get("till:refund", number=made.number)
    taken_off(made, {made.lines.get().pk: D("10.00")}, at=timezone.now())
    over = _post("till:refund", kwargs=kwargs, amount="10.01", method="cash", reason="too much")
    assert (over.status_code, "Only 10.00 was paid" in over.content.decode()) == (422, True)
    done = _post("till:refund", kwargs=kwargs, amount="10.00", method="cash", reason="too much")
    assert done["Location"] == reverse("till:received", kwargs={"pk": Payment.objects.get(kind="refund").pk})


def test_a_deposit_of_a_closed_job_is_listed_to_be_given_back() -> None:
    factory.shop()
    made = bow(stage=Stage.ANS)
    pay(made, "20.00", at=timezone.now())
    Job.objects.filter(pk=made.pk).update(closed_at=timezone.now(), closed_as="refused")
    page = _get("till:money")
    assert reverse("till:refund-held", kwargs={"number": made.number}) in page
    _post("till:refund-held", kwargs={"number": made.number}, amount="20", method="cash", reason="declined")
    assert reverse("till:refund-held", kwargs={"number": made.number}) not in _get("till:money")


def test_the_count_is_closed_with_coins_and_a_reason(job: Job) -> None:
    pay(job, "55.80", at=timezone.now())
    data: dict[str, Any] = {
        "seen": drawer().seen,
        "opening": "100",
        "worth": ["50", "20.00", ""],
        "many": ["3", "0", ""],
    }
    answer = _post("till:close", **data)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "5.80 short" in page
    assert 'value="50"' in page
    answer = _post("till:close", reason="small change is in the other box", removed="50", **data)
    assert answer["Location"] == reverse("till:count", kwargs={"number": 1})
    count = DrawerCount.objects.get()
    assert (count.counted, count.difference, count.kept) == (D("150.00"), D("-5.80"), D("100.00"))
    assert 'value="50.00"' in _get("till:takings"), "the next count begins with the worths of this one"
    assert "5.80 short" in _get("till:count", number=1)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({}, "Write what lies in the drawer"),
        ({"total": "x"}, "is not an amount"),
        ({"total": "-1"}, "above zero"),
        ({"worth": "5", "many": "-1"}, "not a number of coins"),
        ({"worth": "5", "many": "1e3"}, "not a number of coins"),
        ({"worth": "five", "many": "1"}, "is not an amount"),
        ({"total": "0", "removed": "1"}, "no more can be taken out"),
        ({"total": "0", "corrects": "9", "reason": "x"}, "no count 9"),
    ],
)
def test_a_count_that_makes_no_sense_is_refused_in_words(job: Job, data: dict[str, Any], says: str) -> None:
    answer = _post("till:close", seen=drawer().seen, **data)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not DrawerCount.objects.exists()


def test_an_old_page_closes_nothing(job: Job) -> None:
    seen = drawer().seen
    count_it("0.00", at=timezone.now())
    answer = _post("till:close", seen=seen, total="0")
    assert answer.status_code == 409
    assert "Maris closed the count already" in answer.content.decode()
    assert DrawerCount.objects.count() == 1


def test_a_row_after_the_count_says_what_it_takes_back(job: Job) -> None:
    row = pay(job, "55.80", at=timezone.now())
    count_it("55.80", at=timezone.now())
    mirror = take_back(row, at=timezone.now())
    assert "counted already in count 1" in _get("till:takings")
    assert "which count 1 had closed; it belongs to the next" in _get("till:received", pk=mirror.pk)


@pytest.mark.parametrize("on", ["2026-02-30", "1999-12-31", "9999-12-31", "tomorrow"])
def test_no_such_day(job: Job, on: str) -> None:
    assert _as(Role.DESK).get(f"/money/takings/{on}/").status_code == 404


@pytest.mark.needs_poppler
@pytest.mark.parametrize(("page", "size"), [("a4", "595.276 x 841.89"), ("us-letter", "612 x 792")])
def test_a_statement_lists_what_is_open_by_age(tmp_path: Path, page: str, size: str) -> None:
    factory.shop(page=page)
    school = factory.party("Kesterby Vale <School>", body=True)
    old = invoice(bow("100.00", owner=school), bow("20.00", owner=school), at=timezone.now() - timedelta(days=100))
    new = bow("33.00", owner=school)
    invoice(new, at=timezone.now())
    pay(new, "3.00", at=timezone.now())
    answer = _as(Role.BOOKS).get(reverse("till:statement", kwargs={"pk": school.pk}))
    file = tmp_path / "statement.pdf"
    file.write_bytes(answer.content)
    words = subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True).stdout
    assert "Kesterby Vale <School>" in words
    assert f"{old.number}" in words
    assert "over 90 days" in words
    assert "150.00 EUR" in words
    facts = subprocess.run(["pdfinfo", file], capture_output=True, text=True, check=True).stdout
    assert size in facts


def test_several_jobs_go_on_one_invoice_by_ticking(job: Job) -> None:
    owner = factory.party()
    first, second, other = bow(owner=owner), bow(owner=owner), bow()
    page = _get("till:invoice", number=first.number)
    assert second.number in page
    assert other.number not in page
    wrong = _post("till:invoice", kwargs={"number": first.number}, also=[str(other.pk)])
    assert "paid by different people" in wrong.content.decode()
    _post("till:invoice", kwargs={"number": first.number}, also=[str(second.pk)])
    assert set(Invoice.objects.latest("pk").jobs.all()) == {first, second}
