"""Estimate, agreement, invoice and receipt: what the papers with sums on them say. Pure; the rules of `jobs.papers.texts` hold.

Every sum is refused when it does not add up: net + tax = total on each line, the lines on each option and invoice.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from jobs.papers.texts import Json, Named, ShopHead, Thing, decimals, to_text


def _sum(values: Iterable[str]) -> Decimal:
    return sum((Decimal(value or "0") for value in values), Decimal(0))


def _adds_up(what: str, parts: Iterable[str], whole: str) -> None:
    total = _sum(parts)
    if total != Decimal(whole or "0"):
        raise ValueError(f"{what}: the parts make {total}, the paper says {whole}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyLine:
    """One line. `quantity` and `price` may be empty (a fixed price); a discount is a line with a minus.

    `tax_rate` is per cent: "8.25", "0". `job` is the job's number where a paper covers more than one.
    """

    words: str
    net: str
    tax: str
    total: str
    tax_rate: str = "0"
    quantity: str = ""
    unit: str = ""
    price: str = ""
    job: str = ""

    def __post_init__(self) -> None:
        decimals(self.net, self.tax, self.total, self.tax_rate, self.quantity, self.price)
        _adds_up(self.words, (self.net, self.tax), self.total)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxLine:
    """Tax at one rate over the whole paper: "goods tax 8.25 %" on `net`."""

    words: str
    rate: str
    net: str
    tax: str

    def __post_init__(self) -> None:
        decimals(self.rate, self.net, self.tax)


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionText:
    """One way to go on: A, B, C. `ready` and `contingency` in words; `deposit` a sum or empty."""

    letter: str
    name: str
    lines: tuple[MoneyLine, ...]
    net: str
    tax: str
    total: str
    summary: str = ""
    deposit: str = ""
    ready: str = ""
    gets: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    contingency: str = ""

    def __post_init__(self) -> None:
        decimals(self.net, self.tax, self.total, self.deposit)
        _adds_up(self.name, (line.net for line in self.lines), self.net)
        _adds_up(self.name, (line.tax for line in self.lines), self.tax)
        _adds_up(self.name, (self.net, self.tax), self.total)


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateText:
    """One numbered version of an estimate. `valid_until` is a day; `recommended` an option's letter or empty.

    `fee`: asked for the examination, tax included, only if the work does not go ahead.
    """

    KIND: ClassVar[str] = "estimate"
    TITLE: ClassVar[str] = "Estimate"

    shop: ShopHead
    fixed: str
    to: Named
    job: str
    item: Thing
    version: int
    options: tuple[OptionText, ...]
    written_by: str = ""
    valid_until: str = ""
    recommended: str = ""
    because: str = ""
    words: tuple[str, ...] = ()
    answer: str = "No paid work begins before you answer."
    fee: str = ""

    def __post_init__(self) -> None:
        decimals(self.fee)

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form."""
        return to_text(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreementText:
    """What was agreed to: version, option, sums, who and how. `estimate` is the number of the paper it answers.

    `most` is the highest sum, tax included, without asking again. `agreed_at` is empty where a signature has the time.
    `read_back` holds the sentences read aloud on the telephone.
    """

    KIND: ClassVar[str] = "agreement"
    TITLE: ClassVar[str] = "Agreement"

    shop: ShopHead
    fixed: str
    to: Named
    job: str
    item: Thing
    version: int
    option: OptionText
    agreed_by: str
    how: str
    most: str
    options: int = 1
    estimate: str = ""
    estimate_sha256: str = ""
    agreed_at: str = ""
    written_by: str = ""
    order_number: str = ""
    order_ceiling: str = ""
    read_back: tuple[str, ...] = ()
    begin: str = ""
    not_included: tuple[str, ...] = ()
    words: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        decimals(self.most, self.order_ceiling)

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form; what is signed at the counter."""
        return to_text(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentText:
    """Money received: a day, how in words ("card", "deposit, transfer") and the sum."""

    on: str
    how: str
    amount: str

    def __post_init__(self) -> None:
        decimals(self.amount)


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoiceText:
    """An issued invoice; `corrects` names the invoice a credit note sets right. `balance` = `total` less what is paid."""

    KIND: ClassVar[str] = "invoice"
    TITLE: ClassVar[str] = "Invoice"

    shop: ShopHead
    fixed: str
    to: Named
    number: str
    issued: str
    lines: tuple[MoneyLine, ...]
    net: str
    tax: str
    total: str
    balance: str
    title: str = "Invoice"
    due: str = ""
    reference: str = ""
    items: tuple[Thing, ...] = ()
    jobs: tuple[str, ...] = ()
    taxes: tuple[TaxLine, ...] = ()
    payments: tuple[PaymentText, ...] = ()
    exempt: str = ""
    corrects: str = ""
    words: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        decimals(self.net, self.tax, self.total, self.balance)
        _adds_up("Lines", (line.net for line in self.lines), self.net)
        _adds_up("Tax", (line.tax for line in self.lines), self.tax)
        _adds_up("Total", (self.net, self.tax), self.total)
        _adds_up("Paid and to pay", (*(one.amount for one in self.payments), self.balance), self.total)

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form."""
        return to_text(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class CreditText:
    """Takes back an issued invoice or a part of it; sums stand above zero. `invoice` is the number it corrects.

    `left` is what is then owed on the invoice, with a minus what is to be given back; empty where a new invoice follows.
    """

    KIND: ClassVar[str] = "credit"
    TITLE: ClassVar[str] = "Credit note"

    shop: ShopHead
    fixed: str
    to: Named
    number: str
    issued: str
    invoice: str
    invoice_issued: str
    reason: str
    lines: tuple[MoneyLine, ...]
    net: str
    tax: str
    total: str
    left: str = ""
    anew: bool = False
    items: tuple[Thing, ...] = ()
    jobs: tuple[str, ...] = ()
    taxes: tuple[TaxLine, ...] = ()

    def __post_init__(self) -> None:
        decimals(self.net, self.tax, self.total, self.left)
        _adds_up("Lines", (line.net for line in self.lines), self.net)
        _adds_up("Tax", (line.tax for line in self.lines), self.tax)
        _adds_up("Total", (self.net, self.tax), self.total)

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form."""
        return to_text(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptText:
    """Money received, said on paper: a deposit or a payment. `towards` in words ("invoice 26-0031", "estimate 2 B").

    With the title "Refund" it is money given back, and says why.
    """

    KIND: ClassVar[str] = "receipt"
    TITLE: ClassVar[str] = "Receipt"

    shop: ShopHead
    fixed: str
    payer: Named
    on: str
    amount: str
    how: str
    towards: str = ""
    jobs: tuple[str, ...] = ()
    balance: str = ""
    received_by: str = ""
    title: str = "Receipt"
    reason: str = ""

    def __post_init__(self) -> None:
        decimals(self.amount, self.balance)

    def to_text(self) -> dict[str, Json]:
        """The words alone, ready for the canonical form."""
        return to_text(self)
