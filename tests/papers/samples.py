"""One sample of every paper, with the demo shop's own people (invented) and pictures drawn here."""

from datetime import UTC, datetime
from io import BytesIO

from PIL import Image, ImageDraw

from jobs.papers import texts
from jobs.papers.canonical import sha256
from jobs.papers.frozen import FIRST, Frozen, Words, frozen
from jobs.papers.money_texts import (
    AgreementText,
    EstimateText,
    InvoiceText,
    MoneyLine,
    OptionText,
    PaymentText,
    ReceiptText,
    TaxLine,
)
from jobs.papers.texts import Accessory, Condition, Named, NoteJob, NoteText, Picture, Returned, ShopHead, Signed, Thing

AT = datetime(2026, 11, 6, 10, 58, tzinfo=UTC)
SHOP = ShopHead(
    name="Marrowfen Strings Workshop",
    address=("3 Tannery Yard", "Ostlemere"),
    telephone="01632 960 400",
    email="desk@marrowfen.example",
)
OWNER = Named(name="Imelda Rookstone", role="brings it in, and owns it", address=("8 Weir Lane", "Ostlemere"))
VIOLIN = Thing(name="Violin 4/4", kind="Vn", details=("dark brown", "back 356 mm"), tag="7K2M9QWD")
STROKES = (
    ((100, 250, 0), (140, 90, 40), (190, 300, 90), (240, 120, 140), (300, 260, 190), (360, 180, 240)),
    ((420, 240, 400), (520, 235, 460), (640, 150, 520), (760, 260, 600), (900, 120, 700)),
    ((930, 60, 800),),
)


def drawn_picture(number: int, size: tuple[int, int] = (640, 480)) -> bytes:
    """A JPEG drawn by this code: a number on a wooden ground."""
    picture = Image.new("RGB", size, (160 + number, 110, 60))
    pen = ImageDraw.Draw(picture)
    for line in range(0, size[0], 7):
        pen.line((line, 0, line + number * 3, size[1]), fill=(140, 95 + line % 13, 50))
    pen.ellipse((200, 120, 440, 360), outline="black", width=6)
    pen.text((300, 220), str(number), fill="black")
    out = BytesIO()
    picture.save(out, "JPEG", quality=80)
    return out.getvalue()


def pictures(count: int) -> dict[str, bytes]:
    """That many pictures by their hash."""
    made = [drawn_picture(number) for number in range(1, count + 1)]
    return {sha256(one): one for one in made}


def note(
    *,
    images: dict[str, bytes] | None = None,
    name: str = "Imelda Rookstone",
    jobs: int = 1,
    lines: int = 4,
    shop: ShopHead = SHOP,
) -> NoteText:
    """A condition note with as much on it as asked."""
    found = (
        Condition(
            number=1,
            term="Open seam",
            place="front, lower bout, bass",
            extent_mm="64",
            severity="moderate",
            stability="moving",
            freshness="fresh",
            photos=(13,),
        ),
        Condition(
            number=2,
            term="Bridge leaning towards the fingerboard",
            place="bridge",
            extent_mm="2",
            severity="moderate",
            freshness="not known",
        ),
        Condition(
            number=3, term="Edge worn", place="upper bout, treble", extent_mm="22", severity="minor", freshness="old"
        ),
        Condition(
            number=4,
            term="Scratch",
            place="treble side, C-bout",
            extent_mm="33",
            severity="minor",
            freshness="old",
            words="filled",
            photos=(14, 15),
        ),
    )
    every = tuple(
        Condition(
            number=at + 1,
            term=found[at % 4].term,
            place=found[at % 4].place,
            extent_mm=found[at % 4].extent_mm,
            severity=found[at % 4].severity,
            freshness=found[at % 4].freshness,
            photos=found[at % 4].photos,
        )
        for at in range(lines)
    )
    one = NoteJob(
        number="26-0402",
        item=VIOLIN,
        asked="look at the seam, set the bridge",
        said="It rattles when I play the low string.",
        tension="up to pitch",
        conditions=every,
        accessories=(
            Accessory(name="case", where="left here"),
            Accessory(name="shoulder rest", where="left here", words="worn"),
            Accessory(name="bow", where="taken home"),
        ),
        not_examined=("inside", "under the fingerboard"),
        value="2400.00",
        value_words="stated by the owner, purchase price",
        answer_by="2026-11-13",
    )
    more = NoteJob(number="26-0403", item=Thing(name="Violin bow", kind="Bw", tag="QX3N8RTM"), asked="rehair")
    views = ("front-full", "back-full", "bass-side", "treble-side", "scroll-front", "bridge-side")
    return NoteText(
        shop=shop,
        fixed=texts.moment(AT, UTC),
        arrived=texts.moment(AT, UTC),
        how="by hand",
        received_by="Maris Quillby",
        parties=(Named(name=name, role=OWNER.role, address=OWNER.address, telephone="01632 960 411"),),
        jobs=(one, more)[:jobs],
        pictures=tuple(
            Picture(number=at, sha256=digest, words=views[at % 6]) for at, digest in enumerate(images or {}, start=1)
        ),
        missing_views=("label: the shoulder rest hides it",),
        terms=(
            "Storage 2.00 a day from 30 days after formal notice.",
            "An estimate is free; no paid work begins before it is answered.",
        ),
    )


def signed(name: str = "Imelda Rookstone") -> tuple[Signed, ...]:
    """Both signatures of a note."""
    at = texts.moment(AT, UTC)
    return (
        Signed(role="depositor", name=name, at=at, strokes=STROKES),
        Signed(role="receiver", name="Maris Quillby", at=at, how="typed", witness="Jorin Pellwick"),
    )


def line(words: str, net: str, tax: str = "0.00", total: str = "", **more: str) -> MoneyLine:
    """A line of money; the total is the net where there is no tax."""
    return MoneyLine(words=words, net=net, tax=tax, total=total or net, **more)


def estimate(name: str = "Imelda Rookstone") -> EstimateText:
    """Two ways to go on."""
    a = (line("Open seam glued", "62.00", quantity="1", unit="h", price="62.00"),)
    b = (
        *a,
        line("New bridge cut and fitted", "195.00", quantity="2.5", unit="h", price="78.00"),
        line("Bridge blank", "57.51", "4.74", "62.25", tax_rate="8.25", quantity="1", price="57.51"),
    )
    return EstimateText(
        shop=SHOP, fixed=texts.moment(AT, UTC), to=Named(name=name, role="for"), job="26-0402", item=VIOLIN, version=1,
        written_by="Ottilie Brackenshaw", valid_until="2026-12-06", recommended="B",
        because="The old bridge leans and will not stand for long.",
        options=(
            OptionText(letter="A", name="Make it playable", lines=a, net="62.00", tax="0.00", total="62.00"),
            OptionText(
                letter="B", name="Put it right", summary="Our choice.", lines=b, net="314.51", tax="4.74",
                total="319.25", ready="between 16 and 20 November", gets=("Seam closed", "New bridge"),
                left=("Old marks of use",), contingency="up to 40.00 more; beyond that we ask you first",
            ),
        ),
    )  # fmt: skip


def agreement(name: str = "Imelda Rookstone") -> AgreementText:
    """Option B, agreed on the telephone."""
    shown = estimate(name)
    return AgreementText(
        shop=SHOP, fixed=texts.moment(AT, UTC), to=shown.to, job="26-0402", item=VIOLIN, version=1, options=2,
        option=shown.options[1], agreed_by=name, how="by telephone, read back by Maris", most="359.25",
        estimate="E26-0007", estimate_sha256="0" * 64, agreed_at=texts.moment(AT, UTC), written_by="Maris Quillby",
        read_back=("Job 26-0402: version 1, option B.", "It comes to 319.25 in all, tax included."),
        words=("Only what stands here is agreed.",),
    )  # fmt: skip


def invoice(name: str = "Imelda Rookstone") -> InvoiceText:
    """Labour untaxed, goods taxed, a deposit paid."""
    return InvoiceText(
        shop=SHOP, fixed=texts.moment(AT, UTC), to=Named(name=name, role="to"), number="26-0031", issued="2026-11-20",
        due="2026-12-04", jobs=("26-0402",), items=(VIOLIN,), reference="PO 1187",
        lines=(
            line("Work at the bench", "249.60", quantity="3.2", unit="h", price="78.00"),
            line("Strings, set", "32.00", "2.64", "34.64", tax_rate="8.25", quantity="1", price="32.00"),
        ),
        net="281.60", tax="2.64", total="284.24", balance="184.24",
        taxes=(TaxLine(words="goods tax", rate="8.25", net="32.00", tax="2.64"),),
        payments=(PaymentText(on="2026-11-06", how="deposit, card", amount="100.00"),),
        words=("Thank you.",),
    )  # fmt: skip


def receipt(name: str = "Imelda Rookstone") -> ReceiptText:
    """A deposit received."""
    return ReceiptText(
        shop=SHOP, fixed=texts.moment(AT, UTC), payer=Named(name=name, role="from"), on="2026-11-06", amount="100.00",
        how="card", towards="estimate 1 B of job 26-0402", balance="219.25", received_by="Maris Quillby",
    )  # fmt: skip


def release(name: str = "Imelda Rookstone") -> texts.ReleaseText:
    """Two things given back, one kept."""
    at = texts.moment(AT, UTC)
    return texts.ReleaseText(
        shop=SHOP, fixed=at, collector=Named(name=name, role="collects"), released_by="Maris Quillby",
        identity="known to the shop", jobs=("26-0402",),
        returned=(
            Returned(item=VIOLIN, job="26-0402", ticked_by="Maris Quillby", at=at),
            Returned(item=Thing(name="case", kind="Cs"), ticked_by="Maris Quillby", at=at),
            Returned(item=Thing(name="old bridge", kind="Pt"), words="the owner does not want it"),
        ),
        money="in full, 284.24", care=("Keep it from cold cars.", "Look at the bridge each week."),
        free_check="until Tue 19 January 2027",
    )  # fmt: skip


def freeze(words: Words, signatures: tuple[Signed, ...] = (), number: str = "26-0012", position: int = 1) -> Frozen:
    """A paper's frozen text outside any book."""
    return frozen(
        words, number=number, position=position, previous=FIRST, at=texts.moment(AT, UTC), signatures=signatures
    )
