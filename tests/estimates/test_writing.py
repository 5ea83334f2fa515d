"""Writing an estimate: versions, options, lines, prices of the day."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from jobs.book.models import Job
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.catalogue.models import PriceList, Rate
from jobs.estimates.models import Estimate, Line, Option
from jobs.estimates.reads import estimate_view
from jobs.estimates.steps import (
    add_discount,
    add_line,
    add_material,
    add_option,
    add_work,
    begin_draft,
    remove_line,
    remove_option,
    write_option,
    write_words,
)
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    factory.shop()
    factory.prices()
    return factory.job(Stage.EXA)


def _begun(job: Job) -> tuple[Estimate, Option]:
    estimate = begin_draft(job, by=factory.person(Role.LUTHIER), at=NOW)
    return estimate, estimate.options.get(letter="A")


def _by() -> dict[str, Any]:
    return {"by": factory.person(Role.LUTHIER), "at": NOW}


def test_a_first_version_has_one_empty_option(job: Job) -> None:
    estimate, option = _begun(job)
    assert (estimate.version, estimate.state) == (1, "draft")
    assert list(estimate.options.all()) == [option]
    assert not option.lines.exists()


def test_beginning_twice_gives_the_same_draft(job: Job) -> None:
    first, _ = _begun(job)
    second = begin_draft(job, by=factory.person(Role.DESK), at=NOW)
    assert first == second
    assert job.entries.filter(action="estimate.begun").count() == 1


def test_a_double_press_adds_one_line(job: Job) -> None:
    _, option = _begun(job)
    add_line(option, words="Glue seam", net=Decimal(62), tax_class="labour", key="press-0001", **_by())
    with pytest.raises(Again):
        add_line(option, words="Glue seam", net=Decimal(62), tax_class="labour", key="press-0001", **_by())
    assert option.lines.count() == 1


def test_work_is_priced_by_the_rate_of_its_skill_on_that_day(job: Job) -> None:
    _, option = _begun(job)
    line = add_work(option, operation=factory.prices()["BR1"], **_by())
    assert (line.hours, line.rate, line.net, line.tax) == (Decimal(2), Decimal(78), Decimal("156.00"), Decimal(0))


def test_a_sent_estimate_keeps_the_prices_of_its_day(job: Job) -> None:
    estimate, option = _begun(job)
    line = add_work(option, operation=factory.prices()["SP1"], **_by())
    dearer = PriceList.objects.create(since=NOW.date() + timedelta(days=1))
    Rate.objects.create(price_list=dearer, skill=3, words="luthier", per_hour=90)
    line.refresh_from_db()
    assert line.net == Decimal("78.00")
    later: dict[str, Any] = {"by": factory.person(Role.LUTHIER), "at": NOW + timedelta(days=1)}
    assert add_work(option, operation=factory.prices()["SP1"], **later).net == Decimal("90.00")
    assert estimate.options.count() == 1


def test_a_material_carries_markup_and_goods_tax_and_its_cost_stays_inside(job: Job) -> None:
    _, option = _begun(job)
    line = add_material(option, words="Strings", cost=Decimal("42.60"), **_by())
    assert (line.net, line.tax_rate, line.tax) == (Decimal("57.51"), Decimal("8.25"), Decimal("4.74"))
    assert line.cost == Decimal("42.60")


def test_a_discount_follows_the_labour_above_it(job: Job) -> None:
    _, option = _begun(job)
    add_line(option, words="Set-up", net=Decimal(507), tax_class="labour", **_by())
    off = add_discount(option, percent=Decimal(10), reason="Player’s discount", **_by())
    assert off.net == Decimal("-50.70")
    more = add_work(option, operation=factory.prices()["SP1"], **_by())
    off.refresh_from_db()
    assert off.net == Decimal("-58.50")
    remove_line(more, **_by())
    off.refresh_from_db()
    assert off.net == Decimal("-50.70")
    assert option.lines.last() == off
    with pytest.raises(Refused, match="One discount"):
        add_discount(option, percent=Decimal(5), reason="Goodwill", **_by())


def test_an_exempt_buyer_is_not_taxed_while_the_paper_holds(job: Job) -> None:
    payer = job.roles.get(role="payer").party
    payer.tax_exempt_paper, payer.tax_exempt_until = "TX-77", NOW.date()
    payer.save(update_fields=["tax_exempt_paper", "tax_exempt_until"])
    _, option = _begun(job)
    today = add_material(option, words="Strings", cost=Decimal(20), **_by())
    tomorrow = add_material(
        option, words="Pegs", cost=Decimal(20), by=factory.person(Role.LUTHIER), at=NOW + timedelta(days=1)
    )
    assert today.tax_rate == 0
    assert tomorrow.tax_rate == Decimal("8.25")


def test_three_options_are_the_most(job: Job) -> None:
    estimate, option = _begun(job)
    b = add_option(estimate, title="Restore it fully", **_by())
    c = add_option(estimate, title="Keep it, unplayed", **_by())
    assert (b.letter, c.letter) == ("B", "C")
    with pytest.raises(Refused, match="Three"):
        add_option(estimate, title="One more", **_by())
    add_line(b, words="Work", net=Decimal(10), tax_class="labour", **_by())
    remove_option(b, **_by())
    assert add_option(estimate, title="Another", **_by()).letter == "B"
    assert option.letter == "A"


def test_the_last_option_stays(job: Job) -> None:
    _, option = _begun(job)
    with pytest.raises(Refused, match="one option at least"):
        remove_option(option, **_by())


def test_only_one_option_is_recommended(job: Job) -> None:
    estimate, a = _begun(job)
    b = add_option(estimate, title="Restore it fully", **_by())
    write_option(a, title="Make it playable", recommended=True, **_by())
    write_option(b, title="Restore it fully", recommended=True, **_by())
    assert list(estimate.options.filter(recommended=True)) == [b]


def test_days_are_kept_in_order(job: Job) -> None:
    _, option = _begun(job)
    with pytest.raises(Refused, match="before the first"):
        write_option(option, title="A", ready_from=date(2026, 12, 9), ready_to=date(2026, 12, 1), **_by())
    write_option(option, title="A", ready_to=date(2026, 12, 9), **_by())
    option.refresh_from_db()
    assert (option.ready_from, option.ready_to) == (date(2026, 12, 9), None)


def test_a_new_version_begins_as_a_copy_with_its_prices(job: Job) -> None:
    before = factory.sent(job, net=500)
    draft = begin_draft(job, by=factory.person(Role.LUTHIER), at=NOW + timedelta(days=1))
    assert (draft.version, draft.words) == (2, before.words)
    assert [line.net for line in draft.options.get().lines.all()] == [Decimal(500)]
    add_line(draft.options.get(), words="More", net=Decimal(1), tax_class="labour", **_by())
    assert before.options.get().lines.count() == 1
    assert before.options.get().deposit == Decimal("250.00")
    assert draft.options.get().deposit == 0


def test_a_sent_version_can_no_longer_be_written(job: Job) -> None:
    sent = factory.sent(job)
    option = sent.options.get()
    line = option.lines.get()
    changes: list[Callable[[], object]] = [
        lambda: write_words(sent, words="Other", not_included="", **_by()),
        lambda: add_line(option, words="More", net=Decimal(1), tax_class="labour", **_by()),
        lambda: remove_line(line, **_by()),
        lambda: write_option(option, title="Other", **_by()),
        lambda: add_option(sent, title="Other", **_by()),
    ]
    for change in changes:
        with pytest.raises(Refused, match="has been sent"):
            change()
    assert Line.objects.get(pk=line.pk).words == "New soundpost"


def test_what_is_no_line_is_refused_in_words(job: Job) -> None:
    _, option = _begun(job)
    operation = factory.prices()["SP1"]
    refusals: list[tuple[Callable[[], object], str]] = [
        (lambda: add_line(option, words=" ", net=Decimal(1), tax_class="labour", **_by()), "what this line is for"),
        (lambda: add_line(option, words="A", net=Decimal(-1), tax_class="labour", **_by()), "not below zero"),
        (lambda: add_line(option, words="A", net=Decimal(10**12), tax_class="labour", **_by()), "too large"),
        (lambda: add_line(option, words="A", net=Decimal(1), tax_class="magic", **_by()), "for the tax"),
        (lambda: add_work(option, operation=operation, hours=Decimal(0), **_by()), "more than 0"),
        (lambda: add_work(option, operation=operation, hours=Decimal("0.001"), **_by()), "more than 0"),
        (lambda: add_work(option, operation=operation, hours=Decimal("1e400"), **_by()), "more than 0"),
        (lambda: add_discount(option, percent=Decimal(101), reason="All", **_by()), "at most 100"),
        (lambda: add_discount(option, percent=Decimal(5), reason="", **_by()), "reason"),
    ]
    for change, words in refusals:
        with pytest.raises(Refused, match=words):
            change()
    assert not option.lines.exists()


def test_the_words_of_the_catalogue_are_made_plain_for_owners(job: Job) -> None:
    operation = factory.prices()["SP1"]
    operation.words = "woodworm treatment by low oxygen"
    operation.save(update_fields=["words"])
    _, option = _begun(job)
    assert add_work(option, operation=operation, **_by()).words == "Wood insects treatment by low oxygen"


def test_a_version_is_read_in_three_queries(job: Job, django_assert_num_queries: object) -> None:
    estimate = factory.sent(job)
    shop = factory.shop()
    with django_assert_num_queries(3):  # type: ignore[operator]
        view = estimate_view(estimate, shop=shop, on=NOW.date())
    assert view.options[0].total == Decimal(234)
