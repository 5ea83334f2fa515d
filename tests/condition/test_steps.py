"""Lines of the note, and findings beside it."""

from decimal import Decimal

import pytest
from django.db import transaction

from jobs.book.models import Entry
from jobs.book.refusals import Again, Refused
from jobs.book.stages import Stage
from jobs.condition.lines import NewLine
from jobs.condition.models import ConditionLine, Finding
from jobs.condition.reads import findings_of, lines_of
from jobs.condition.steps import add_finding, add_lines
from shop.people.roles import Role
from tests import factory
from tests.factory import NOW

pytestmark = pytest.mark.django_db

SCRATCH = NewLine(term="scratch", term_words="scratch", severity="minor", freshness="old", extent_mm=Decimal("33.0"))


def test_lines_are_numbered_and_read_back_in_words() -> None:
    job = factory.job()
    with transaction.atomic():
        add_lines(
            job, [SCRATCH, NewLine(term_words="smells of the sea", part="ribs", where="C-bout", severity="unknown")]
        )
    first, second = lines_of(job, parts={"ribs": "ribs"})
    assert (first.number, first.term, first.extent, first.severity, first.freshness) == (
        1,
        "scratch",
        "33 mm",
        "minor",
        "old, filled",
    )
    assert (second.number, second.where, second.severity, second.stability) == (
        2,
        "ribs, C-bout",
        "not known",
        "not known",
    )


def test_lines_need_the_transaction_of_their_note_and_words_of_the_scales() -> None:
    job = factory.job()
    with transaction.atomic(), pytest.raises(Refused, match="how bad"):
        add_lines(job, [NewLine(term_words="scratch", severity="awful")])
    assert not ConditionLine.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_lines_outside_a_transaction_are_a_mistake() -> None:
    factory.shop()
    with pytest.raises(RuntimeError):
        add_lines(factory.job(), [SCRATCH])


def test_a_finding_stands_beside_the_note_once_and_is_recorded() -> None:
    job, by = factory.job(), factory.person(Role.LUTHIER)
    add_finding(job, " Bar loose at the lower end. ", by=by, at=NOW, key="press-finding")
    with pytest.raises(Again):
        add_finding(job, "Bar loose at the lower end.", by=by, at=NOW, key="press-finding")
    finding = Finding.objects.get()
    assert [(one.words, one.by, one.at) for one in findings_of(job)] == [("Bar loose at the lower end.", "Tobiah", NOW)]
    assert Entry.objects.get(action="finding.added").data == {"finding": finding.pk, "photo": None}


def test_an_empty_finding_and_one_on_a_closed_job_are_refused() -> None:
    by = factory.person(Role.LUTHIER)
    with pytest.raises(Refused, match="Write what was found"):
        add_finding(factory.job(), " ", by=by, at=NOW)
    gone = factory.job(Stage.HOME, closed_at=NOW, closed_as="home")
    with pytest.raises(Refused, match="closed"):
        add_finding(gone, "Crack.", by=by, at=NOW)
