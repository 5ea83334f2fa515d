"""An estimate that ran out, written again with the prices of today."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from jobs.book.models import Job
from jobs.book.refusals import Again, Stale
from jobs.book.stages import Stage
from jobs.catalogue.models import PriceList, Rate
from jobs.estimates.renewing import renew
from jobs.estimates.sending import send
from jobs.estimates.steps import add_discount, add_line, add_material, add_work, begin_draft, name_fee, write_words
from shop.people.roles import Role
from shop.profile.models import Profile
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db
LATE = NOW + timedelta(days=31)


@pytest.fixture
def job() -> Job:
    factory.shop()
    operations = factory.prices()
    job = factory.job(Stage.EXA)
    by = factory.person(Role.LUTHIER)
    draft = begin_draft(job, by=by, at=NOW)
    option = draft.options.get()
    add_work(option, operation=operations["BR1"], hours=Decimal("2.5"), by=by, at=NOW)
    add_work(option, operation=operations["SP1"], hours=Decimal(1), skill=4, by=by, at=NOW)
    add_material(option, words="Bridge blank", cost=Decimal(20), by=by, at=NOW)
    add_line(option, words="Carriage", net=Decimal("12.50"), tax_class="labour", by=by, at=NOW)
    add_discount(option, percent=Decimal(10), reason="Player’s discount", by=by, at=NOW)
    name_fee(draft, Decimal(25), by=by, at=NOW)
    write_words(draft, words="The bridge is bent.", not_included="", by=by, at=NOW)
    send(draft, by=by, at=NOW)
    return job


def test_hours_and_materials_have_todays_prices_and_fixed_sums_stay(job: Job) -> None:
    dearer = PriceList.objects.create(since=date(2026, 12, 1))
    for skill, per_hour in ((3, 80), (4, 100)):
        Rate.objects.create(price_list=dearer, skill=skill, words="", per_hour=per_hour)
    Profile.objects.update(markup_percent=50)
    maris = factory.person(Role.DESK)
    made = renew(job, by=maris, at=LATE, key="press-0001")
    nets = {line.words: line.net for line in made.draft.options.get().lines.all()}
    # 2.5 × 80, 1 × 100, 20 and half as much again, 12.50 as it was, a tenth off 312.50 of labour
    assert nets == {
        "New bridge": Decimal(200),
        "New soundpost": Decimal(100),
        "Bridge blank": Decimal(30),
        "Carriage": Decimal("12.50"),
        "Player’s discount, 10 % of labour": Decimal("-31.25"),
    }
    assert (made.draft.version, made.draft.state, made.draft.fee) == (2, "draft", Decimal(25))
    assert made.changes[0].was < made.changes[0].now
    assert job.entries.get(action="estimate.renewed").data["version"] == 2
    with pytest.raises(Again):
        renew(job, by=maris, at=LATE, key="press-0001")
    with pytest.raises(Stale):
        renew(job, by=maris, at=LATE)


def test_what_still_holds_is_not_written_again(job: Job) -> None:
    with pytest.raises(Stale, match="has not run out"):
        renew(job, by=factory.person(Role.DESK), at=NOW + timedelta(days=30))
