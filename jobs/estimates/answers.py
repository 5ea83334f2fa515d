"""The owner's answer to an estimate, by whatever road it comes: which version, which option, who, how."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from jobs.book.models import Job, Party
from jobs.book.refusals import Refused, Stale
from jobs.book.steps import keep, press, record
from jobs.estimates.agreement_text import agreement_text, read_aloud
from jobs.estimates.models import HOWS, Answer, Estimate, Option
from jobs.estimates.reads import EstimateView, OptionView, children, estimate_view, expired, most_for, who_answers
from jobs.papers.frozen import words_sha256
from jobs.papers.money_texts import AgreementText
from jobs.papers.steps import Signing, freeze
from jobs.papers.texts import Signed
from shop.clock import day_words, local
from shop.money import plain, written
from shop.people.models import Person
from shop.profile.models import Profile
from shop.profile.reads import profile

CHANGED = "The words changed after they were read. Look at them again, then agree."


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """How an answer came, and who gave it.

    `name` as typed, signed or spoken. By link `by` is None; else a person of the shop writes it down. At the counter
    `signed` is the signature and `seen` the hash of the words signed. On the telephone `words` are those read back, as
    they were shown. By order `order_number`, and `order_ceiling` where the order names the most it allows.
    """

    how: str
    name: str
    party: Party
    by: Person | None = None
    words: str = ""
    note: str = ""
    order_number: str = ""
    order_ceiling: Decimal | None = None
    signed: Signed | None = None
    seen: str = ""
    begin_now: bool = False


def answer(estimate: Estimate, *, option: Option | None, came: Came, at: datetime, key: str = "") -> Answer:
    """Write down the answer to one version: `option` agreed to, or None for none of them.

    What was agreed is frozen as a paper, whatever the road. Raises Stale for a version that was replaced or answered
    meanwhile, Refused for one that ran out, for a party without the right, and for a sum above what it may agree to.
    """
    with transaction.atomic():
        pressed = press(key, "estimate.answer", at=at) if key else None
        job = Job.objects.select_for_update(no_key=True).get(pk=estimate.job_id)
        held = Estimate.objects.select_related("paper").get(pk=estimate.pk)
        _answerable(held, job, at=at)
        if came.party not in who_answers(job):
            raise Refused("Only the owner, or whoever may agree for the owner, can answer this.")
        name = " ".join(came.name.split())[:160]
        _proper(came, name, job, agreed=option is not None)
        shop = profile()
        view = estimate_view(held, shop=shop, on=local(at, shop.zone).date())
        chosen = next((one for one in view.options if option is not None and one.option.pk == option.pk), None)
        if option is not None and chosen is None:
            raise Refused("That option belongs to another version. Choose again.")
        most = _most(job, chosen, came, shop) if chosen else None
        made = Answer.objects.create(
            estimate=held,
            option=option,
            approved=option is not None,
            how=came.how,
            name=name or came.party.name,
            words=_words(job, view, chosen, came, shop),
            note=came.note.strip(),
            order_number=came.order_number.strip() if came.how == "order" else "",
            order_ceiling=came.order_ceiling if came.how == "order" and chosen else None,
            ceiling=most,
            begin_now=came.begin_now and option is not None,
            party=came.party,
            person=came.by,
            at=at,
        )
        if chosen is not None and most is not None:
            _freeze(made, job, view, chosen, came, most=most, at=at, shop=shop)
        held.state = "answered"
        held.save(update_fields=["state"])
        _record_answer(made, held, job, chosen, places=shop.places)
        if pressed is not None:
            keep(pressed, answer=made.pk, estimate=held.pk)
    return made


def words_to_sign(
    job: Job, view: EstimateView, chosen: OptionView, *, party: Party, by: Person, at: datetime
) -> AgreementText:
    """The agreement as it is signed at the counter by a party; the same until something in it changes.

    Raises what `answer` would raise for this party and option.
    """
    _answerable(view.estimate, job, at=at)
    shop = profile()
    most = _most(job, chosen, Came(how="desk", name=party.name, party=party, by=by), shop)
    return agreement_text(
        job, view, chosen, party=party, name=party.name, how="desk", most=most, by=by, at=at, shop=shop
    )


def _answerable(held: Estimate, job: Job, *, at: datetime) -> None:
    shop = profile()
    if held.state == "answered":
        raise Stale("This estimate has been answered already. Look at the answer first.")
    if held.state == "draft":
        raise Refused("This estimate has not been sent yet.")
    newer = job.estimates.exclude(state="draft").filter(version__gt=held.version).exists()
    if held.state == "replaced" or newer:
        raise Stale("There is a newer estimate. Read that one; only the newest can be answered.")
    if expired(held, on=local(at, shop.zone).date()):
        ran_out = day_words(held.expires_on) if held.expires_on else ""
        raise Refused(f"This estimate ran out on {ran_out}. Ask us for a new one.")
    if job.closed_at is not None:
        raise Refused("This job is closed. Ask us, and we open a new one.")


def _proper(came: Came, name: str, job: Job, *, agreed: bool) -> None:
    if came.how not in HOWS:
        raise Refused("Say how the answer came.")
    if came.how == "link":
        if agreed and len(name) < 2:
            raise Refused("Type your name, so that we know who agreed.")
    elif came.by is None:
        raise Refused("Somebody of the shop writes down an answer that did not come by link.")
    elif len(name) < 2:
        raise Refused("Write the name of whoever answered.")
    if name.casefold() in {" ".join(child.split()).casefold() for child in children(job)}:
        raise Refused("Somebody under age cannot answer this. Write the name of the grown-up who did.")
    if came.how == "order" and agreed and not came.order_number.strip():
        raise Refused("Write the number of the purchase order.")
    if len(came.order_number.strip()) > 40:
        raise Refused("The number of the purchase order has more than 40 letters. Look at it again.")
    if came.how == "desk" and agreed and came.signed is None:
        raise Refused("Let whoever agrees sign first.")


def _words(job: Job, view: EstimateView, chosen: OptionView | None, came: Came, shop: Profile) -> str:
    """A remark; or what was read back, which must still be what the estimate says."""
    if came.how != "phone" or chosen is None:
        return came.words.strip()
    aloud = " ".join(read_aloud(job, view, chosen, shop=shop))
    if " ".join(came.words.split()) != " ".join(aloud.split()):
        raise Stale("The words to read back have changed. Read them back again, then write down the answer.")
    return aloud


def _most(job: Job, chosen: OptionView, came: Came, shop: Profile) -> Decimal:
    """The most that may be charged without asking again: the option and what may come on top, under every ceiling."""
    theirs, order = most_for(job, came.party), came.order_ceiling if came.how == "order" else None
    total = written(chosen.total, shop.places)
    if theirs is not None and chosen.total > theirs:
        raise Refused(
            f"Option {chosen.option.letter} comes to {total}; {came.party.name} may agree up to "
            f"{written(theirs, shop.places)}. Ask the owner, or choose another option."
        )
    if order is not None and chosen.total > order:
        raise Refused(
            f"Option {chosen.option.letter} comes to {total}; the purchase order allows {written(order, shop.places)}. "
            "Ask for a higher order, or choose another option."
        )
    ends = [end for end in (theirs, order) if end is not None]
    return min([chosen.total + chosen.option.contingency, *ends])


def _freeze(
    made: Answer,
    job: Job,
    view: EstimateView,
    chosen: OptionView,
    came: Came,
    *,
    most: Decimal,
    at: datetime,
    shop: Profile,
) -> None:
    # what is signed names the party; a typed name stands in its signature
    name = came.party.name if made.how == "desk" else made.name
    text = agreement_text(
        job,
        view,
        chosen,
        party=came.party,
        name=name,
        how=made.how,
        most=most,
        by=came.by,
        at=at,
        shop=shop,
        begin_now=made.begin_now and made.how != "desk",
        order_number=made.order_number,
        order_ceiling=made.order_ceiling,
    )
    if came.seen and words_sha256(text) != came.seen:
        raise Stale(CHANGED)
    signatures = [Signing(came.signed, party=came.party)] if came.signed is not None else []
    made.paper = freeze(text, by=came.by, at=at, job=job, signatures=signatures)
    made.save(update_fields=["paper"])


def _record_answer(made: Answer, held: Estimate, job: Job, chosen: OptionView | None, *, places: int) -> None:
    data: dict[str, object] = {
        "estimate": held.pk,
        "version": held.version,
        "answer": made.pk,
        "how": made.how,
        "party": made.party_id,
    }
    if chosen is not None and made.ceiling is not None:
        data |= {
            "option": chosen.option.letter,
            "total": plain(chosen.total, places),
            "ceiling": plain(made.ceiling, places),
            "deposit": plain(chosen.deposit, places),
            "begin_now": made.begin_now,
            "paper": made.paper_id,
        }
    if made.order_number:
        data["order"] = made.order_number
    action = "estimate.approved" if made.approved else "estimate.declined"
    record(action, by=made.person, at=made.at, job=job, data=data)
