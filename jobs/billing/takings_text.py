"""What the sheet of the takings says, from a count and its rows. No payer is named on it."""

from collections.abc import Sequence
from decimal import Decimal

from jobs.billing.drawer_reads import jobs_of
from jobs.billing.models import DrawerCount, Payment
from jobs.billing.takings import Coins, Sums, Takings
from jobs.papers.heads import shop_head
from jobs.papers.takings_texts import CoinText, MethodText, PersonText, RowText, TakingsText
from jobs.papers.texts import moment
from shop.money import plain, written
from shop.profile.models import Profile


def of_words(row: Payment) -> str:
    """“2026-0003, job 26-0401”, “job 26-0401”."""
    jobs = jobs_of(row)
    numbers = f"{'jobs' if len(jobs) > 1 else 'job'} {', '.join(job.number for job in jobs)}"
    return f"{row.invoice.number}, {numbers}" if row.invoice else numbers


def _method(words: str, sums: Sums, places: int) -> MethodText:
    return MethodText(
        words=words,
        deposits=plain(sums.deposits, places),
        payments=plain(sums.payments, places),
        refunds=plain(sums.refunds, places),
        reversals=plain(sums.reversals, places),
        together=plain(sums.together, places),
    )


def takings_text(
    count: DrawerCount, rows: Sequence[Payment], takings: Takings, coins: Sequence[Coins], *, shop: Profile
) -> TakingsText:
    """The sheet of one count."""
    places = shop.places

    def by_method(of: Sequence[tuple[str, Decimal]]) -> str:
        return ", ".join(f"{method} {written(amount, places)}" for method, amount in of)

    return TakingsText(
        shop=shop_head(shop),
        fixed=moment(count.at, shop.zone),
        since=moment(count.after.at, shop.zone) if count.after else "",
        count=str(count.number),
        counted_by=count.by.name,
        corrects=f"count {count.corrects.number}" if count.corrects else "",
        methods=tuple(_method(method, sums, places) for method, sums in takings.methods),
        all=_method("together", takings.all, places),
        people=tuple(
            PersonText(name=who, how=by_method(of), together=plain(together, places))
            for who, of, together in takings.people
        ),
        rows=tuple(
            RowText(
                at=moment(row.at, shop.zone),
                who=row.by.short,
                what=row.words,
                of=of_words(row),
                how=", ".join(words for words in (row.get_method_display(), row.reference) if words),
                amount=plain(row.amount, places),
            )
            for row in rows
        ),
        coins=tuple(
            CoinText(worth=plain(one.worth, places), many=str(one.many), together=plain(one.worth * one.many, places))
            for one in coins
        ),
        opening=plain(count.opening, places),
        cash=plain(count.cash, places),
        expected=plain(count.expected, places),
        counted=plain(count.counted, places),
        difference=plain(count.difference, places),
        removed=plain(count.removed, places),
        kept=plain(count.kept, places),
        reason=count.reason,
    )
