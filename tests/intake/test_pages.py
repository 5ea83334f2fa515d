"""The pages of the intake from the desk, walked without JavaScript."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.book.models import Job, Party, Visit
from jobs.book.stages import Stage
from jobs.intake import drafts
from jobs.intake.models import Draft
from jobs.papers.models import Paper, Signature
from jobs.photos.models import Photo
from shop.people.roles import Role
from tests import factory
from tests.intake import sittings
from tests.intake.sittings import hidden

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _open_shop(db: None) -> None:
    sittings.open_shop()


@pytest.fixture
def desk() -> Client:
    return sittings.desk()


def held() -> tuple[Draft, drafts.Draft]:
    row = Draft.objects.get()
    return row, drafts.from_json(row.data)


def at(row: Draft, name: str, *more: Any) -> str:
    return reverse(f"intake:{name}", args=[row.key, *more])


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.status_code
    return answer.content.decode()


def test_a_violin_and_a_bow_are_taken_in_from_start_to_place(
    desk: Client, django_capture_on_commit_callbacks: Any
) -> None:
    start = page(desk, "/take-in/")
    who = desk.post("/take-in/", {"key": hidden(start, "key")})
    row, _ = held()
    assert who["Location"] == at(row, "step", "who")

    text = page(desk, who["Location"])
    person = {"role": "depositor", "name": "Imelda Rookstone", "phone": "01632 960011", "email": "imelda@example.org"}
    desk.post(at(row, "party"), {**person, "version": hidden(text, "version"), "key": hidden(text, "key")})
    assert Party.objects.get().phone == "+441632960011"

    for kind in ("Vn", "Bw"):
        text = page(desk, at(row, "step", "items"))
        desk.post(at(row, "add"), {"kind": kind, "version": hidden(text, "version"), "key": hidden(text, "key")})
    violin, bow = held()[1].pieces

    def keep(step: str, typed: dict[str, str], to: str, piece: str = "") -> None:
        version = str(held()[0].version)
        answer = desk.post(at(row, "save", step), {**typed, "version": version, "to": to, "piece": piece})
        assert answer.status_code == 302, answer.content.decode()

    keep("items", {f"size-{violin.key}": "4/4", f"size-{bow.key}": "violin", f"with-{violin.key}-0": "left"}, "said")
    keep(
        "said",
        {f"said-{violin.key}": "It rattles.", f"tension-{violin.key}": "slack", f"work-{bow.key}": "hair"},
        "photos",
    )
    for piece in (violin, bow):
        text = page(desk, at(row, "piece", "photos", piece.key))
        codes = re.findall(rf'name="why-{piece.key}-([a-z0-9-]+)"', text)
        assert len(codes) == {"Vn": 12, "Bw": 6}[piece.kind]  # least sets: common practice, no source
        sent = {"piece": piece.key, "slot": piece.key, "view": codes[0], "send_key": hidden(text, "send_key")}
        back = desk.post(at(row, "photo"), {**sent, "file": sittings.upload()})
        assert back["Location"] == f"{at(row, 'piece', 'photos', piece.key)}#f-{codes[0]}"
        keep("photos", {f"why-{piece.key}-{code}": "too fragile to turn" for code in codes[1:]}, "condition", piece.key)
    text = page(desk, at(row, "piece", "condition", violin.key))
    line = {"line": hidden(text, "line"), "term": "scratch", "where": "C-bout", "severity": "minor"}
    desk.post(at(row, "line", violin.key), {**line, "version": hidden(text, "version")})
    desk.post(
        at(row, "photo"),
        {"piece": violin.key, "slot": line["line"], "view": "", "send_key": "send-close-up", "file": sittings.upload()},
    )
    keep("condition", {f"nothing_found-{bow.key}": "1"}, "value", bow.key)
    keep("value", {f"value_answer-{violin.key}": "not stated", f"value_answer-{bow.key}": "not stated"}, "sign")

    text = page(desk, at(row, "step", "sign"))
    with django_capture_on_commit_callbacks(execute=True):
        sealed = desk.post(at(row, "seal"), sittings.signed_form(text))
    assert sealed["Location"] == at(row, "place")
    paper = Paper.objects.get()
    assert paper.state == "made"
    assert desk.get(at(row, "note-pdf")).content.startswith(b"%PDF")
    assert desk.get(at(row, "tags-pdf")).content.startswith(b"%PDF")

    text = page(desk, at(row, "place"))
    assert paper.number in text
    places = {f"place-{piece.key}": str(factory.location().pk) for piece in (violin, bow)}
    with django_capture_on_commit_callbacks(execute=True):
        done = desk.post(at(row, "place"), {**places, "key": hidden(text, "key")})
    assert done["Location"] == "/take-in/"
    assert {job.stage for job in Job.objects.all()} == {Stage.IN}
    assert {photo.purpose for photo in Photo.objects.filter(visit=paper.visit)} == {"intake", "line"}
    for name in ("place", "note-pdf", "tags-pdf"):
        assert desk.get(at(row, name))["Location"] == "/take-in/"
    assert desk.get(at(row, "step", "who"))["Location"] == "/take-in/"


def ready(client: Client, *pieces: drafts.Piece) -> Draft:
    row = sittings.begun(sittings.draft(factory.party("Imelda Rookstone"), *pieces))
    assert client.get(at(row, "step", "sign")).status_code == 200
    return row


def test_every_step_shows_its_one_thing_and_the_sign_page_lists_them_all(desk: Client) -> None:
    row = sittings.begun(drafts.Draft(pieces=(drafts.new_piece("aaaaaaaaaaaa", "Vn", number="26-0401"),)))
    for step, words in (
        ("who", "Say who brings it in."),
        ("said", "Write what the owner says of the violin"),
        ("photos", "Violin, “Front”: not taken."),
        ("condition", "Write what is found on the violin"),
        ("value", "Ask what the violin is worth"),
    ):
        assert words in page(desk, at(row, "step", step))
    text = page(desk, at(row, "step", "sign"))
    assert "Before it can be signed" in text
    assert "Say who brings it in." in text
    assert "Seal the note" not in text


def test_people_are_found_as_one_types_with_only_the_end_of_their_number_shown(desk: Client) -> None:
    factory.party("Imelda Rookstone", phone="+441632960011", email="imelda@example.org")
    row = sittings.begun()
    found = desk.post(at(row, "find"), {"sought": "rook", "role": "owner"}, headers={"HX-Request": "true"})
    text = found.content.decode()
    assert "Imelda Rookstone" in text
    assert "…011" in text
    assert "+441632960011" not in text
    assert "<html" not in text
    assert "Imelda Rookstone" in desk.post(at(row, "find"), {"sought": "960011", "role": "owner"}).content.decode()


def test_a_person_written_down_twice_is_shown_instead_and_what_was_typed_stays(desk: Client) -> None:
    known = factory.party("Imelda Rookstone", email="imelda@example.org")
    row = sittings.begun()
    typed = {"role": "depositor", "name": "Imelda Stonerook", "email": "IMELDA@example.org", "version": "1"}
    answer = desk.post(at(row, "party"), {**typed, "key": "press-party-1"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "in the book already, as Imelda Rookstone’s" in text
    assert 'value="Imelda Stonerook"' in text
    assert f'name="party" value="{known.pk}"' in text
    assert list(Party.objects.all()) == [known]


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("front.jpg", b"", "is empty"),
        ("front.jpg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is a drawing (SVG)"),
        ("front.jpg", b"<!doctype html><html>", "is a web page"),
        ("front.jpg", sittings.jpeg(size=(400, 300))[:1200], "came only in part"),
    ],
)
def test_a_bad_picture_is_refused_at_its_frame(desk: Client, name: str, data: bytes, words: str) -> None:
    row = ready(desk)
    piece = held()[1].pieces[0].key
    sent = {"piece": piece, "slot": piece, "view": "front-full", "send_key": "send-front-1"}
    quick = desk.post(at(row, "photo"), {**sent, "file": sittings.upload(data, name)}, headers={"X-Quick": "1"})
    assert quick.status_code == 422
    assert words in quick.json()["words"]
    plain = desk.post(at(row, "photo"), {**sent, "file": sittings.upload(data, name)})
    assert plain.status_code == 422
    frame = plain.content.decode().split('id="f-front-full"')[1].split("</li>")[0]
    assert words in frame
    assert not Photo.objects.exists()


def test_a_photo_sent_again_is_one_and_a_newer_one_takes_its_place(desk: Client) -> None:
    row = ready(desk)
    piece = held()[1].pieces[0].key
    sent = {"piece": piece, "slot": piece, "view": "front-full", "send_key": "send-front-1"}
    for _ in range(2):
        answer = desk.post(at(row, "photo"), {**sent, "file": sittings.upload()}, headers={"X-Quick": "1"})
        assert answer.json()["photo"] == Photo.objects.get().pk
    newer = {**sent, "send_key": "send-front-2", "file": sittings.upload(sittings.jpeg("black"))}
    desk.post(at(row, "photo"), newer)
    assert Photo.objects.filter(put_aside_at=None).get().send_key == "send-front-2"
    shown = desk.get(at(row, "picture", Photo.objects.latest("pk").pk, "small"))
    assert shown["Content-Type"] == "image/jpeg"
    assert shown.getvalue().startswith(b"\xff\xd8\xff")


def test_typed_words_are_kept_at_each_change_and_survive_a_reload(desk: Client) -> None:
    row = ready(desk)
    key = held()[1].pieces[0].key
    answer = desk.post(at(row, "save", "said"), {f"said-{key}": "שלום 🎻", "version": "1"}, headers={"X-Quick": "1"})
    assert (answer.json()["version"], answer.json()["stops"]) == (2, "")
    assert "שלום 🎻" in page(desk, at(row, "step", "said"))
    nothing = desk.post(
        at(row, "save", "said"), {f"said-{key}": " ", f"work-{key}": "", "version": "2"}, headers={"X-Quick": "1"}
    )
    assert nothing.json()["stops"].startswith("Write what the owner says of the violin")


def test_the_second_tablet_sees_both_and_loses_nothing_typed(desk: Client) -> None:
    row = ready(desk)
    key = held()[1].pieces[0].key
    desk.post(at(row, "save", "said"), {f"work-{key}": "first tablet", "version": "1"})
    late = {f"said-{key}": "second tablet", "version": "1"}
    assert desk.post(at(row, "save", "said"), late, headers={"X-Quick": "1"}).status_code == 409
    answer = desk.post(at(row, "save", "said"), late)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "changed elsewhere" in text
    assert "second tablet" in text
    assert "first tablet" in text
    assert held()[1].pieces[0].said != "second tablet"
    assert desk.post(at(row, "save", "said"), {**late, "version": hidden(text, "version")}).status_code == 302
    assert held()[1].pieces[0].said == "second tablet"


def test_a_refused_line_or_close_up_comes_back_open_with_what_was_typed(desk: Client) -> None:
    row = ready(desk)
    key = held()[1].pieces[0].key
    text = page(desk, f"{at(row, 'piece', 'condition', key)}?line=new")
    line = {"line": hidden(text, "line"), "term": "scratch", "where": "by the button", "severity": "minor"}
    late = desk.post(at(row, "line", key), {**line, "version": "9"})
    assert late.status_code == 409
    assert 'value="by the button"' in late.content.decode()
    assert hidden(late.content.decode(), "line") == line["line"]
    close_up = {"piece": key, "slot": line["line"], "view": "", "send_key": "send-close-up"}
    bad = desk.post(at(row, "photo"), {**close_up, "file": sittings.upload(b"")})
    assert bad.status_code == 422
    frame = bad.content.decode().split(f'id="f-{line["line"]}"')[1].split("</div>")[0]
    assert "is empty" in frame


@pytest.mark.parametrize(
    ("strokes", "words"),
    [("", "the pad is empty"), ("[[[10,10,0]]]", "that is only a dot"), ("[[", "did not arrive whole"), ("7", "empty")],
)
def test_an_empty_or_one_dot_signature_is_refused_and_the_other_stays(desk: Client, strokes: str, words: str) -> None:
    row = ready(desk)
    form = sittings.signed_form(page(desk, at(row, "step", "sign")), depositor_strokes=strokes)
    answer = desk.post(at(row, "seal"), form)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Whoever brings it in: " in text
    assert words in text
    assert hidden(text, "receiver_strokes").startswith("[[[100, 250, 0]")
    assert not Visit.objects.exists()


def test_a_clock_set_to_nonsense_and_a_name_without_end_stop_no_note(desk: Client) -> None:
    row = ready(desk)
    odd = {"device_at": "0001-01-01T00:00:00+14:00", "depositor_name": f"Imelda\r\n{'k' * 400}"}
    assert (
        desk.post(at(row, "seal"), sittings.signed_form(page(desk, at(row, "step", "sign")), **odd)).status_code == 302
    )
    theirs = Signature.objects.get(role="depositor")
    assert theirs.device_at is None
    assert theirs.name == f"Imelda {'k' * 153}"


def test_a_double_press_and_a_reload_of_the_seal_make_one_note(desk: Client) -> None:
    row = ready(desk)
    form = sittings.signed_form(page(desk, at(row, "step", "sign")))
    assert [desk.post(at(row, "seal"), form)["Location"] for _ in range(2)] == [at(row, "place")] * 2
    assert Paper.objects.count() == Visit.objects.count() == 1


def test_a_changed_text_is_read_again_before_it_is_signed(desk: Client) -> None:
    row = ready(desk)
    form = sittings.signed_form(page(desk, at(row, "step", "sign")))
    key = held()[1].pieces[0].key
    desk.post(at(row, "save", "said"), {f"said-{key}": "It buzzes too.", "version": "1"})
    answer = desk.post(at(row, "seal"), form)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "The text changed after it was read" in text
    assert "It buzzes too." in text
    assert hidden(text, "depositor_strokes") == ""
    assert desk.post(at(row, "seal"), sittings.signed_form(text)).status_code == 302


def test_whoever_will_not_sign_needs_a_reason_and_the_note_is_sealed_all_the_same(desk: Client) -> None:
    row = ready(desk)
    form = sittings.signed_form(page(desk, at(row, "step", "sign")), depositor_strokes="", without="1")
    assert "Choose why" in desk.post(at(row, "seal"), form).content.decode()
    refused = desk.post(at(row, "seal"), {**form, "unsigned_kind": "refused"})
    assert "in their words" in refused.content.decode()
    desk.post(
        at(row, "seal"), {**form, "unsigned_kind": "refused", "unsigned_reason": "in a hurry", "show_photos": "1"}
    )
    visit = Visit.objects.get()
    assert (visit.unsigned_reason, visit.photo_use) == ("Refused to sign: in a hurry", False)


def test_a_typed_name_stands_for_a_finger_when_someone_saw_it(desk: Client) -> None:
    row = ready(desk)
    form = sittings.signed_form(
        page(desk, at(row, "step", "sign")), depositor_strokes="", depositor_typed="I. Rookstone"
    )
    assert "needs a witness" in desk.post(at(row, "seal"), form).content.decode()
    desk.post(at(row, "seal"), {**form, "depositor_witness": "Maris Quillby"})
    made = Paper.objects.get().signatures.get(role="depositor")
    assert (made.how, made.name, made.witness) == ("typed", "I. Rookstone", "Maris Quillby")


def test_photos_are_shown_to_others_only_when_the_box_was_ticked(desk: Client) -> None:
    row = ready(desk)
    desk.post(at(row, "seal"), sittings.signed_form(page(desk, at(row, "step", "sign")), show_photos="1"))
    assert Visit.objects.get().photo_use


def test_a_value_above_the_cover_is_accepted_by_the_head_luthiers_pin(desk: Client) -> None:
    dear = sittings.piece(value_answer="stated", value="61000", basis="appraisal")
    row = sittings.begun(sittings.draft(factory.party(), dear))
    assert "must accept" in page(desk, at(row, "step", "value"))
    terms = {"words": "kept in the strong-room", "version": "1", "username": "ottilie", "pin": "0000"}
    wrong = desk.post(at(row, "accept", dear.key), terms)
    assert wrong.status_code == 422
    assert 'value="kept in the strong-room"' in wrong.content.decode()
    assert desk.post(at(row, "accept", dear.key), {**terms, "username": "tobiah", "pin": "2580"}).status_code == 422
    assert desk.post(at(row, "accept", dear.key), {**terms, "pin": "2580"}).status_code == 302
    assert "Accepted by Ottilie Brackenshaw" in page(desk, at(row, "step", "value"))


def test_only_those_who_may_take_in_see_the_pages_and_only_their_own(desk: Client) -> None:
    row = ready(desk)
    assert sittings.desk(Role.TECHNICIAN).get("/take-in/").status_code == 403
    assert Client().get("/take-in/").status_code == 302
    for name, args in (("step", ("who",)), ("step", ("sign",)), ("place", ()), ("note-pdf", ())):
        assert sittings.desk(Role.LUTHIER).get(at(row, name, *args)).status_code == 404
    assert sittings.desk(Role.HEAD).get(at(row, "step", "who")).status_code == 200


def test_no_page_has_a_script_or_a_style_of_its_own(desk: Client) -> None:
    row = ready(desk, sittings.piece(), sittings.piece("26-0402", kind="Bw"))
    for step in ("who", "items", "said", "photos", "condition", "value", "sign"):
        text = page(desk, at(row, "step", step))
        assert " style=" not in text
        assert not re.search(r"<script(?![^>]*\bsrc=)", text)
        assert not re.search(r"\son[a-z]+=", text)


def test_giving_up_wipes_what_was_typed_and_leads_to_the_blank_page(desk: Client) -> None:
    row = ready(desk)
    assert desk.post(at(row, "give-up"))["Location"] == "/take-in/"
    assert "Imelda" not in page(desk, "/take-in/")
    assert desk.get(at(row, "step", "who"))["Location"] == "/take-in/"
