"""The words of an agreement: read back on the telephone, and frozen as a paper. Pure but for the rows it is handed."""

from datetime import date, datetime
from decimal import Decimal

from jobs.book.models import Job, Party
from jobs.estimates.agreed_words import Proposal, how_it_came, read_back
from jobs.estimates.paper_text import option_text, ready_words
from jobs.estimates.reads import EstimateView, OptionView
from jobs.papers.heads import shop_head
from jobs.papers.money_texts import AgreementText
from jobs.papers.texts import Named, Thing, moment
from shop.clock import local
from shop.money import plain, written
from shop.people.models import Person
from shop.profile.models import Profile

_END = (
    "Only what stands here is agreed. Anything beyond it is asked first.",
    "If this is not what you agreed to, tell us at once.",
)


def read_aloud(job: Job, view: EstimateView, chosen: OptionView, *, shop: Profile) -> tuple[str, ...]:
    """What is read aloud before a “yes” on the telephone counts. The same words whenever they are asked for."""
    option, places = chosen.option, shop.places
    return read_back(
        Proposal(
            job=job.number,
            item=job.item.title,
            version=view.estimate.version,
            letter=option.letter if len(view.options) > 1 else "",
            title=option.title,
            work=[line.words.rstrip(".") for line in chosen.lines],
            total=written(chosen.total, places),
            deposit=written(chosen.deposit, places) if chosen.deposit else "",
            more=written(option.contingency, places) if option.contingency else "",
            ready=_ready(view, chosen, shop),
        )
    )


def agreement_text(
    job: Job,
    view: EstimateView,
    chosen: OptionView,
    *,
    party: Party,
    name: str,
    how: str,
    most: Decimal,
    by: Person | None,
    at: datetime,
    shop: Profile,
    begin_now: bool = False,
    order_number: str = "",
    order_ceiling: Decimal | None = None,
) -> AgreementText:
    """Everything the agreement says. At the counter it is the same whenever it is asked for, so that it can be signed."""
    estimate, places = view.estimate, shop.places
    stamp = moment(at, shop.zone)
    fixed = moment(estimate.sent_at, shop.zone) if how == "desk" and estimate.sent_at else stamp
    return AgreementText(
        shop=shop_head(shop),
        fixed=fixed,
        to=Named(name=party.name, role="agrees", address=tuple(party.address.splitlines())),
        job=job.number,
        item=Thing(name=job.item.title, kind=job.item.kind),
        version=estimate.version,
        options=len(view.options),
        option=option_text(chosen, shop, today=_sent_day(view, shop)),
        agreed_by=name,
        how=how_it_came(how, agreed=True, by=by.short if by else "", number=order_number),
        most=plain(most, places),
        estimate=estimate.paper.number if estimate.paper else "",
        estimate_sha256=estimate.paper.text_sha256 if estimate.paper else "",
        agreed_at="" if how == "desk" else stamp,
        written_by=by.name if by else "",
        order_number=order_number,
        order_ceiling=plain(order_ceiling, places) if order_ceiling is not None else "",
        read_back=read_aloud(job, view, chosen, shop=shop) if how == "phone" else (),
        begin="Asked that work begins as soon as it can." if begin_now else "",
        not_included=view.not_included,
        words=_END,
    )


def _sent_day(view: EstimateView, shop: Profile) -> date:
    # not today: words that were shown must be the same when they are signed after midnight
    return local(view.estimate.sent_at or view.estimate.made_at, shop.zone).date()


def _ready(view: EstimateView, chosen: OptionView, shop: Profile) -> str:
    option = chosen.option
    return ready_words(option.ready_from, option.ready_to, today=_sent_day(view, shop))
