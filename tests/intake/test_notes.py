"""From a draft to the words both sign: pure."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from jobs.intake import drafts
from jobs.intake.drafts import Accepted, Draft, Found, Piece
from jobs.intake.lacking import View
from jobs.intake.notes import Beside, Known, Shot, lay_out, note_text, unsigned_words, with_consent
from jobs.papers.frozen import words_sha256
from jobs.papers.texts import ShopHead

AT = datetime(2026, 11, 6, 9, 58, tzinfo=UTC)
FRONT, BACK = View(code="front-full", words="Front"), View(code="back-full", words="Back")
LINE = Found(key="l1", term="scratch", where="treble side, C-bout", extent="33", severity="minor", freshness="old")
PIECE = replace(
    drafts.new_piece("p1", "Vn", number="26-0402"),
    size="4/4",
    marks="dark brown",
    labelled="Vosterlind, 1883",
    said=" It rattles. ",
    tension="slack",
    left=("case",),
    more_home="mute, rosin",
    found=(LINE,),
    why_no_view=(("back-full", "too fragile to turn"),),
    value_answer="stated",
    value="2,400",
    basis="purchase price",
)
BESIDE = Beside(
    shop=ShopHead(name="Marrowfen Strings Workshop"),
    zone=ZoneInfo("Europe/Lisbon"),
    receiver="Maris Quillby",
    began=AT - timedelta(minutes=30),
    fixed=AT,
    parties={1: Known(name="Imelda Rookstone", telephone="+441632960011"), 2: Known(name="A Child", minor=True)},
    shots=(
        Shot(photo_id=9, slot="l1", view="", sha256="c" * 64, taken=AT),
        Shot(photo_id=7, slot="p1", view="front-full", sha256="a" * 64, taken=AT),
        Shot(photo_id=8, slot="nobody", view="", sha256="b" * 64, taken=AT),
    ),
    views={"p1": (FRONT, BACK)},
    terms="Work begins once you have agreed.\n\nStorage 2.00 a day.",
    terms_version=3,
    limit=Decimal(25000),
    terms_of_trade={"scratch": "scratch"},
    parts={"ribs": "ribs"},
)


def draft(piece: Piece = PIECE) -> Draft:
    return Draft(depositor=1, player=2, pieces=(piece,))


def test_photos_are_numbered_view_by_view_then_close_ups_and_strangers_stay_out() -> None:
    laid = lay_out(draft(), BESIDE)
    assert [(one.number, one.shot.photo_id, one.words, one.job) for one in laid] == [
        (1, 7, "Front", "26-0402"),
        (2, 9, "close-up 1", "26-0402"),
    ]


def test_the_note_says_what_was_entered_and_nothing_else() -> None:
    text = note_text(draft(), BESIDE)
    job = text.jobs[0]
    assert text.fixed == "2026-11-06T09:58:00+00:00"
    assert text.received_by == "Maris Quillby"
    assert (job.number, job.item.name, job.item.details) == (
        "26-0402",
        "Violin 4/4",
        ("labelled Vosterlind, 1883", "dark brown"),
    )
    assert job.said == "It rattles."
    assert [(one.name, one.where) for one in job.accessories] == [
        ("case", "left here"),
        ("mute", "taken home"),
        ("rosin", "taken home"),
    ]
    assert (job.value, job.value_words) == ("2400.00", "stated by the owner, purchase price")
    line = job.conditions[0]
    assert (line.term, line.place, line.extent_mm, line.severity, line.freshness, line.photos) == (
        "scratch",
        "treble side, C-bout",
        "33",
        "minor",
        "old, filled",
        (2,),
    )
    assert job.not_examined == ("inside", "under the fingerboard")
    assert text.missing_views == ("26-0402 Back: too fragile to turn",)
    assert text.terms == ("Terms 3.", "Work begins once you have agreed.", "Storage 2.00 a day.")
    assert not text.show_photos


def test_views_not_taken_for_one_reason_are_said_together() -> None:
    views = (*BESIDE.views["p1"], View(code="label", words="Label"), View(code="case-open", words="Case, open"))
    reasons = (("back-full", "too fragile to turn"), ("case-open", "not brought in"), ("label", "too fragile to turn"))
    text = note_text(draft(replace(PIECE, why_no_view=reasons)), replace(BESIDE, views={"p1": views}))
    assert text.missing_views == ("26-0402 Back, label: too fragile to turn", "26-0402 Case, open: not brought in")


def test_of_someone_under_age_the_note_says_no_name() -> None:
    text = note_text(draft(), BESIDE)
    assert [(one.name, one.role) for one in text.parties] == [
        ("Imelda Rookstone", "brings it in, owner, pays, may approve, may collect"),
        ("a player under age", "player"),
    ]
    assert "A Child" not in str(text.to_text())


def test_words_of_ones_own_stand_beside_the_term_or_in_its_place() -> None:
    with_term = replace(PIECE, found=(replace(LINE, words="from a button"),))
    assert note_text(draft(with_term), BESIDE).jobs[0].conditions[0].words == "from a button"
    own = replace(PIECE, found=(replace(LINE, term="", words="smells of the sea", part="ribs"),))
    line = note_text(draft(own), BESIDE).jobs[0].conditions[0]
    assert (line.term, line.words, line.place) == ("smells of the sea", "", "ribs, treble side, C-bout")


def test_a_value_above_the_cover_names_who_accepted_it_and_leaves_the_rest_to_the_law() -> None:
    yes = Accepted(person=1, name="Ottilie Brackenshaw", words="strong-room", value="61000", at="")
    dear = replace(PIECE, value="61000", accepted=yes, own_cover="yes")
    assert note_text(draft(dear), BESIDE).jobs[0].insured == (
        "insured by the owner; above the shop’s cover of 25,000.00 for one item; accepted by Ottilie Brackenshaw:"
        " “strong-room”; the shop’s cover and local law decide what is paid"
    )


def test_a_value_that_is_not_stated_is_said_to_be_not_stated() -> None:
    job = note_text(draft(replace(PIECE, value_answer="not stated", value="99")), BESIDE).jobs[0]
    assert (job.value, job.value_words) == ("", "not stated")


def test_work_agreed_at_the_desk_stands_in_the_note_with_its_price() -> None:
    agreed = replace(PIECE, job_kind="rehair", work="new hair", agreed_words="rehair", agreed_net="45")
    assert note_text(draft(agreed), BESIDE).jobs[0].asked == (
        "Rehair; new hair; agreed at the desk: rehair, 45.00 before tax"
    )


def test_the_answer_about_photos_changes_the_hash_and_only_that_word() -> None:
    text = note_text(draft(), BESIDE)
    shown = with_consent(text, show_photos=True)
    assert words_sha256(text) != words_sha256(shown)
    assert with_consent(shown, show_photos=False) == text
    assert note_text(draft(), BESIDE, show_photos=True) == shown


def test_a_reason_for_not_signing_is_put_in_words() -> None:
    assert unsigned_words("door", " ") == "Left at the door"
    assert unsigned_words("refused", "in a hurry") == "Refused to sign: in a hurry"
