"""Two desks at the same moment: one invoice, one payment too many, one credit note too much; numbers without a gap."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from jobs.billing.crediting import credit
from jobs.billing.giving_back import refund_on, reverse
from jobs.billing.models import CreditNote, Invoice, Payment
from jobs.billing.reads import due_on
from jobs.billing.steps import issue_together, take_payment
from jobs.book.models import Job
from jobs.book.refusals import Refused
from shop.people.roles import Role
from tests import factory, side_by_side
from tests.billing.till import D, bow, invoice, key, pay, taken_off
from tests.factory import NOW
from tests.side_by_side import Opener, on_a_file

pytestmark = pytest.mark.django_db(transaction=True)
together = partial(side_by_side.together, told=(Refused,))


@pytest.fixture
def on_disk(tmp_path: Path, transactional_db: None) -> Iterator[Opener]:
    factory.shop()
    factory.person(Role.DESK)
    with on_a_file(tmp_path / "shop.sqlite3") as open_file:
        yield open_file


def _won(results: list[object]) -> int:
    return sum(not isinstance(one, Refused) for one in results)


def test_numbers_have_no_gap_though_some_are_refused(on_disk: Opener) -> None:
    desk, owner = factory.person(Role.DESK), factory.party()
    jobs = [bow(owner=owner) for _ in range(4)]

    def issue(*which: Job) -> Invoice:
        return issue_together(which, by=desk, at=NOW, key=key())

    # the third shares a job with the first two: whoever is first wins it
    tries = [partial(issue, *which) for which in (jobs[:2], jobs[1:3], jobs[2:], [jobs[0]])]
    results = together(on_disk, *tries)
    made = list(Invoice.objects.order_by("number"))
    assert len(made) == _won(results) >= 2
    assert [one.number for one in made] == [f"2026-{n:04}" for n in range(1, len(made) + 1)]
    assert all(job.billed.filter(live=True).count() <= 1 for job in jobs)

    notes = [
        partial(credit, one, {line.pk: None for line in one.lines.all()}, reason="x", by=desk, at=NOW) for one in made
    ]
    results = together(on_disk, *(partial(each, key=key()) for each in [*notes, *notes]))
    assert _won(results) == len(made), "the second of each was refused"
    numbers = CreditNote.objects.order_by("number").values_list("number", flat=True)
    assert list(numbers) == [f"C2026-{n:04}" for n in range(1, len(made) + 1)]


def test_an_invoice_is_paid_once_through_whichever_job(on_disk: Opener) -> None:
    desk, owner = factory.person(Role.DESK), factory.party()
    jobs = [bow(owner=owner), bow(owner=owner)]
    made = invoice(*jobs)
    tries = [partial(take_payment, job, D("111.60"), "cash", by=desk, at=NOW, key=key()) for job in (*jobs, *jobs)]
    assert _won(together(on_disk, *tries)) == 1
    assert due_on(made) == 0


def test_a_row_is_taken_back_once_and_money_given_back_once(on_disk: Opener) -> None:
    desk, job = factory.person(Role.DESK), bow()
    made = invoice(job)
    row = pay(job, "55.80")
    tries = [partial(reverse, row, reason="x", by=desk, at=NOW, key=key()) for _ in range(3)]
    assert _won(together(on_disk, *tries)) == 1
    assert Payment.objects.count() == 2
    pay(job, "55.80")
    taken_off(made, {made.lines.get().pk: D("10.00")})
    back = [partial(refund_on, made, D("10.00"), "cash", reason="x", by=desk, at=NOW, key=key()) for _ in range(3)]
    assert _won(together(on_disk, *back)) == 1
    assert due_on(made) == 0
