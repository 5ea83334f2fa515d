"""Short ways to the counter for tests: a job on an invoice, money in, money out."""

from datetime import datetime, timedelta
from decimal import Decimal
from itertools import count

from jobs.billing.counting import count_drawer
from jobs.billing.crediting import credit
from jobs.billing.drawer_reads import drawer
from jobs.billing.giving_back import refund_deposit, refund_on, reverse
from jobs.billing.models import CreditNote, DrawerCount, Invoice, Payment
from jobs.billing.steps import issue_together, take_payment
from jobs.book.models import Job
from jobs.book.stages import Stage
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

D = Decimal
_keys = count(1)


def key() -> str:
    return f"press-key-{next(_keys):06}"


def bow(net: str = "55.80", stage: Stage = Stage.CHK, **fields: object) -> Job:
    return factory.job(stage, agreed_words="Rehair", agreed_net=D(net), **fields)  # type: ignore[arg-type]


def invoice(*jobs: Job, at: datetime = NOW) -> Invoice:
    return issue_together(jobs, by=factory.person(Role.DESK), at=at, key=key())


def pay(job: Job, amount: str | Decimal, method: str = "cash", *, at: datetime = NOW, **more: object) -> Payment:
    by = factory.person(Role.DESK)
    return take_payment(job, D(amount), method, by=by, at=at, key=key(), **more)  # type: ignore[arg-type]


def take_back(row: Payment, reason: str = "typed twice", *, at: datetime = NOW) -> Payment:
    return reverse(row, reason=reason, by=factory.person(Role.DESK), at=at, key=key())


def give_back(of: Job | Invoice, amount: str | Decimal, method: str = "cash", *, at: datetime = NOW) -> Payment:
    by, reason = factory.person(Role.DESK), "did not want it after all"
    if isinstance(of, Job):
        return refund_deposit(of, D(amount), method, reason=reason, by=by, at=at, key=key())
    return refund_on(of, D(amount), method, reason=reason, by=by, at=at, key=key())


def taken_off(of: Invoice, parts: dict[int, Decimal | None], *, anew: bool = False, at: datetime = NOW) -> CreditNote:
    by = factory.person(Role.BOOKS)
    return credit(of, parts, reason="charged too much", anew=anew, by=by, at=at, key=key())


def count_it(total: str | Decimal, *, at: datetime = NOW + timedelta(hours=8), **more: object) -> DrawerCount:
    seen = str(more.pop("seen", drawer().seen))
    by = factory.person(Role.DESK)
    return count_drawer(total=D(total), seen=seen, by=by, at=at, key=key(), **more)  # type: ignore[arg-type]
