"""Believable long papers, kind by kind: a full bench, many lines, long words. Pictures are grey, so colour is the paper's own."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, timedelta
from io import BytesIO
from typing import Any

from PIL import Image

from jobs.papers import texts
from jobs.papers.agreed import AgreedLine
from jobs.papers.canonical import sha256
from jobs.papers.frozen import Words
from jobs.papers.money_texts import (
    AgreementText,
    CreditText,
    EstimateText,
    InvoiceText,
    MoneyLine,
    OptionText,
    PaymentText,
    TaxLine,
)
from jobs.papers.takings_texts import CoinText, MethodText, PersonText, RowText, TakingsText
from jobs.papers.texts import Named, NoteText, Returned, ShopHead, Signed, Thing
from jobs.papers.typeset import typeset
from tests.papers import samples
from tests.papers.samples import AT

LONG = "The whole of the lower bout treble side, from the corner block round to the end block, opened and glued again"
MOMENT = texts.moment(AT, UTC)
CELLO = Thing(
    name="Cello 4/4",
    kind="Vc",
    details=("labelled Vosterlind, 1883", "red-brown over gold", "back of two pieces, 756 mm"),
    tag="7K2M9QWD",
)
TERMS = (
    "Storage 2.00 a day from 30 days after formal notice; a thing nobody fetches for a year is dealt with as the law says.",
    "An estimate is free; no paid work begins before it is answered.",
    "Old repairs may open while strings are off. We tell you before we go on.",
    "Photographs are kept with this note and are shown to nobody else without your leave.",
)


def head(page: str) -> ShopHead:
    return replace(samples.SHOP, page=page, tax_number="MF 4471 902", currency="pounds")


def grey_pictures(count: int) -> dict[str, bytes]:
    """That many photographs without colour, by their hash."""
    made: dict[str, bytes] = {}
    for number in range(count):
        wide = Image.linear_gradient("L").resize((640, 480) if number % 3 else (360, 480)).rotate(number)
        out = BytesIO()
        wide.save(out, "JPEG", quality=70)
        made[sha256(out.getvalue())] = out.getvalue()
    return made


def _line(words: str, cents: int, taxed: bool, **more: str) -> MoneyLine:
    tax = round(cents * 0.0825) if taxed else 0
    rate = "8.25" if taxed else "0"
    return MoneyLine(
        words=words,
        net=f"{cents / 100:.2f}",
        tax=f"{tax / 100:.2f}",
        total=f"{(cents + tax) / 100:.2f}",
        tax_rate=rate,
        **more,
    )


def lines(count: int, *, job: str = "26-0402") -> tuple[MoneyLine, ...]:
    named = (
        (LONG, 31200, False, {"quantity": "4", "unit": "h", "price": "78.00"}),
        ("New bridge cut and fitted to the feet of the old one", 19500, False, {"quantity": "2.5", "unit": "h"}),
        ("Bridge blank, selected maple, aged five years", 5751, True, {"quantity": "1", "price": "57.51"}),
        ("Set of strings, medium", 118900, True, {"quantity": "1", "price": "1189.00"}),
        ("Soundpost fitted and set", 7020, False, {"quantity": "0.9", "unit": "h", "price": "78.00"}),
    )
    return tuple(_line(w, c, t, job=job, **more) for w, c, t, more in (named[at % 5] for at in range(count)))


def _sum(of: tuple[MoneyLine, ...], field: str) -> str:
    return f"{sum(round(float(getattr(one, field)) * 100) for one in of) / 100:.2f}"


def _sums(of: tuple[MoneyLine, ...]) -> dict[str, Any]:
    return {"net": _sum(of, "net"), "tax": _sum(of, "tax"), "total": _sum(of, "total")}


def _taxes(of: tuple[MoneyLine, ...]) -> tuple[TaxLine, ...]:
    with_tax = tuple(one for one in of if one.tax_rate != "0")
    without = tuple(one for one in of if one.tax_rate == "0")
    return (
        TaxLine(words="goods tax", rate="8.25", net=_sum(with_tax, "net"), tax=_sum(with_tax, "tax")),
        TaxLine(words="labour", rate="0", net=_sum(without, "net"), tax="0.00"),
    )


def option(letter: str, name: str, count: int) -> OptionText:
    of = lines(count)
    return OptionText(
        letter=letter, name=name, lines=of, **_sums(of), deposit="150.00",
        summary="What we would do if it were ours: sound first, then looks, and nothing that cannot be undone.",
        ready="between 16 and 20 November, if the glue room keeps its warmth",
        gets=("Seam closed over its whole length", "New bridge, feet fitted to this belly", "Set up and played in"),
        left=("Old marks of use in the varnish", "The worn edge of the upper bout"),
        contingency="up to 40.00 more for the bass bar if it has come loose; beyond that we ask you first",
    )  # fmt: skip


def note(page: str, name: str) -> NoteText:
    images = grey_pictures(19)
    made = samples.note(images=images, name=name, jobs=2, lines=14, shop=head(page))
    bow = replace(
        made.jobs[1],
        agreed=(AgreedLine(words="Rehair with best white hair", net="58.00", tax="0.00", total="58.00"),),
        agreed_total="58.00",
        deposit="20.00",
    )
    cello = replace(made.jobs[0], item=CELLO, said=f"It rattles. {LONG}.", not_examined=("inside", "under the frog"))
    third = Named(name="Kirsten Dellamore-Tavistock", role="pays", address=("The Old Tannery", "1 Weir Lane"))
    return replace(
        made,
        jobs=(cello, bow),
        terms=TERMS,
        agreed_total="58.00",
        prices_since="2026-01-01",
        parties=(*made.parties, third),
    )


def estimate(page: str, name: str) -> EstimateText:
    options = (
        option("A", "Make it playable", 3),
        option("B", "Put it right", 9),
        option("C", "Everything, " + LONG, 14),
    )
    return replace(
        samples.estimate(name), shop=head(page), item=CELLO, options=options, fee="45.00",
        words=("The bow needs a rehair before spring.", LONG + "."),
    )  # fmt: skip


def agreement(page: str, name: str) -> AgreementText:
    chosen = option("C", "Everything", 14)
    return replace(
        samples.agreement(name), shop=head(page), item=CELLO, option=chosen, options=3, order_number="PO 118 / 2026",
        order_ceiling="9000.00", most="7000.00", begin="as soon as the deposit is here", not_included=("Strings", LONG),
    )  # fmt: skip


def invoice(page: str, name: str) -> InvoiceText:
    of = (*lines(12), *lines(9, job="26-0403"))
    paid = "1000.00"
    return replace(
        samples.invoice(name), shop=head(page), lines=of, jobs=("26-0402", "26-0403"), items=(CELLO, samples.VIOLIN),
        **_sums(of), taxes=_taxes(of), balance=f"{float(_sum(of, 'total')) - float(paid):.2f}",
        payments=(PaymentText(on="2026-11-06", how="deposit, card", amount=paid),),
        words=("To be paid within 14 days. " + LONG + ".", "Thank you."),
    )  # fmt: skip


def credit(page: str, name: str) -> CreditText:
    of = lines(5)
    return CreditText(
        shop=head(page), fixed=MOMENT, to=Named(name=name, role="to", address=samples.OWNER.address), number="C26-0004",
        issued="2026-11-24", invoice="26-0031", invoice_issued="2026-11-20", reason=LONG, lines=of, **_sums(of),
        left="-120.00", items=(CELLO,), jobs=("26-0402",), taxes=_taxes(of),
    )  # fmt: skip


def receipt(page: str, name: str) -> Words:
    return replace(
        samples.receipt(name), shop=head(page), jobs=("26-0402", "26-0403"), towards=f"invoice 26-0031, {LONG}"
    )


def release(page: str, name: str) -> Words:
    back = tuple(
        Returned(item=Thing(name=one, kind="Cs", details=(LONG,) if at % 4 == 0 else ()), job="26-0402",
                 ticked_by="Maris Quillby", at=MOMENT)
        for at, one in enumerate(("Cello 4/4", "bow", "case", "mute", "rosin", "endpin stop", "old strings") * 3)
    )  # fmt: skip
    return replace(samples.release(name), shop=head(page), returned=back, terms=TERMS)


def takings(page: str, name: str) -> TakingsText:
    ways = ("cash", "card", "transfer", "other")
    methods = tuple(
        MethodText(words=one, deposits="100.00", payments="1234.50", refunds="-20.00", reversals="-14.50", together="1300.00")
        for one in ways
    )  # fmt: skip
    rows = tuple(
        RowText(
            at=texts.moment(AT + timedelta(minutes=7 * at), UTC), who=("Maris Quillby", "Ottilie Brackenshaw")[at % 2],
            what=("deposit", "payment", "refund")[at % 3], of=("job 26-0402, " + LONG) if at % 9 == 0 else "invoice 26-0031",
            how=ways[at % 4], amount="1234.50" if at % 3 else "-20.00",
        )
        for at in range(45)
    )  # fmt: skip
    return TakingsText(
        shop=head(page), fixed=MOMENT, since=MOMENT, count="Z26-0019", counted_by=name, methods=methods,
        all=MethodText(words="all together", deposits="400.00", payments="4938.00", refunds="-80.00", reversals="-58.00",
                       together="5200.00"),
        people=(PersonText(name=name, how="cash 1,300.00; card 1,300.00; transfer 1,300.00; other 1,300.00", together="5200.00"),),
        rows=rows, opening="200.00", cash="1300.00", expected="1500.00", counted="1498.00", difference="-2.00",
        removed="1298.00", kept="200.00", reason="A coin fell behind the drawer. " + LONG,
        coins=tuple(CoinText(worth=one, many="4", together="1.00") for one in ("50.00", "20.00", "10.00", "5.00", "2.00", "1.00", "0.50", "0.20")),
    )  # fmt: skip


FROZEN: dict[str, Callable[[str, str], Words]] = {
    "note": note, "estimate": estimate, "agreement": agreement, "invoice": invoice, "credit": credit,
    "receipt": receipt, "release": release, "takings": takings,
}  # fmt: skip


def frozen_pdf(kind: str, page: str, name: str) -> bytes:
    """One of `FROZEN` in type, signed where it is signed."""
    words = FROZEN[kind](page, name)
    pen: tuple[Signed, ...] = ()
    if kind in {"note", "release", "agreement"}:
        pen = samples.signed(name)
    return typeset(kind, samples.freeze(words, pen).data, grey_pictures(19) if kind == "note" else {})
