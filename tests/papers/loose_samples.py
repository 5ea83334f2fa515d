"""Papers that are printed and not frozen, long ones, each made by the function or the page that makes it in the shop."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.test import Client
from django.urls import reverse

from jobs.billing.statements import statement_pdf
from jobs.book.stages import Stage
from jobs.catalogue.models import FixedPrice, PriceList
from jobs.morning.lists import Line
from jobs.morning.printing import Part, Sheet, printed
from jobs.tags.drawing import TagText, tags_pdf
from jobs.updates.letters import About, Sender, stage
from jobs.updates.models import Message
from jobs.updates.on_paper import calls_in, calls_pdf, letters_pdf
from shop.people.roles import Role
from shop.starting.authority import own
from tests import factory
from tests.billing.till import bow, invoice
from tests.factory import NOW
from tests.papers.long_samples import LONG
from tests.starting.test_authority import NAMES
from tests.updates.test_sending import letter


def head_of_the_shop() -> Client:
    client = Client()
    client.force_login(factory.person(Role.HEAD), backend="django.contrib.auth.backends.ModelBackend")
    return client


def statement(page: str, name: str, folder: Path, settings: Any) -> bytes:
    shop = factory.shop(page=page)
    payer = factory.party(name, address="The Old Tannery\n1 Weir Lane\nOstlemere")
    for at in range(34):
        jobs = [bow(f"{1040 + at}.00", owner=payer) for _ in range(2 if at % 8 == 0 else 1)]
        invoice(*jobs, at=NOW - timedelta(days=3 * at))
    return statement_pdf(payer, shop, at=NOW)


def _by_hand(name: str, many: int) -> list[Message]:
    owner = factory.party(name, email="", phone="+442079460111", address="9 Lock Lane\nOstlemere\nWeirham by the Water")
    sender = Sender("Marrowfen Strings Workshop", ("3 Tannery Yard",), "+44 20 7946 0123", "Mon to Fri 9 to 17")
    about = About(name, "Vc", "4/4", "26-0410")
    words = stage(Stage.EXA, about, sender, days="Fri 27 November")
    made = []
    for at in range(many):
        job = factory.job(Stage.BEN, owner=owner)
        body = words.body.replace("News of", f"{LONG}. News of") if at % 3 == 0 else words.body
        fields = {"state": "byhand", "channel": "hand", "party": owner, "subject": words.subject, "body": body}
        made.append(letter(job, **fields, tries=at % 4))
    return made


def letters(page: str, name: str, folder: Path, settings: Any) -> bytes:
    shop = factory.shop(page=page, telephone="+44 20 7946 0123", email="desk@marrowfen.example")
    return letters_pdf(_by_hand(name, 2), shop=shop, at=NOW)


def calls(page: str, name: str, folder: Path, settings: Any) -> bytes:
    shop = factory.shop(page=page)
    return calls_pdf(calls_in(_by_hand(name, 12)), shop=shop, at=NOW)


def today(page: str, name: str, folder: Path, settings: Any) -> bytes:
    lines = tuple(
        Line(f"{name}, Cello 4/4" if at % 5 == 0 else "Violin 4/4", "", f"{402 + at:04}", LONG if at % 4 == 0 else
             "for Friday; glue sets until 14:20; new bridge", phone="+44 20 7946 0111" if at % 2 else "")
        for at in range(11)
    )  # fmt: skip
    titles = ("Comes today", "To call or write", "Ready, owner not told", "Past its day", "Due today")
    return printed(
        Sheet(
            shop="Marrowfen Strings Workshop", title="For the desk", day="Wednesday 25 November 2026",
            fixed="As it stood at 10:12. Open until 17:00.", page=page, parts=tuple(Part(one, lines) for one in titles),
        ),
        at=NOW,
    )  # fmt: skip


def prices(page: str, name: str, folder: Path, settings: Any) -> bytes:
    factory.shop(page=page)
    factory.prices()
    listed = PriceList.objects.get(since=date(2020, 1, 1))
    for at in range(30):
        words = name if at == 3 else (LONG if at % 7 == 0 else "Rehair, violin or viola bow")
        FixedPrice.objects.create(
            price_list=listed, code=f"P{at}", words=words[:120], kinds="Vn Va", labour=Decimal(33), goods=Decimal(1200),
            goods_words="best white bow hair", ready_days=at % 4, job_kind="rehair", position=at,
        )  # fmt: skip
    return head_of_the_shop().get(f"/shop/prices/{listed.pk}.pdf").content


def trust(page: str, name: str, folder: Path, settings: Any) -> bytes:
    factory.shop(page=page, name=name)
    files = own(folder, "Marrowfen", NAMES, at=datetime.now(UTC))
    settings.AUTHORITY = files.authority
    settings.PUBLIC_ADDRESS = settings.OWNERS_ADDRESS = "https://192.168.1.20:8000"
    settings.TRUST_ADDRESS = "http://192.168.1.20:8001"
    return head_of_the_shop().get(reverse("office:network-pdf")).content


def tags(page: str, name: str, folder: Path, settings: Any) -> bytes:
    one = TagText(
        number="0406", item="Cello 4/4, labelled Vosterlind, 1883", kind="Vc", code="7K2M9QWD",
        url="HTTPS://TAGS.EXAMPLE.ORG/T/7K2M9QWD", shop="Marrowfen Strings Workshop", address="3 Tannery Yard, Ostlemere",
        owner=name, taken_in="16 November",
    )  # fmt: skip
    return tags_pdf([one] * 3, at=NOW)


Making = Callable[[str, str, Path, Any], bytes]
LOOSE: dict[str, Making] = {
    "statement": statement, "letter": letters, "calls": calls, "today": today, "prices": prices, "trust": trust,
    "tag": tags,
}  # fmt: skip
