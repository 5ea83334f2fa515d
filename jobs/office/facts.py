"""The shop’s facts and figures as fields: what each is called, how it is typed, what it may be. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from zoneinfo import available_timezones

from babel.numbers import list_currencies
from phonenumbers import SUPPORTED_REGIONS

from shop.money import NotMoneyError, plain, rounded, written
from shop.typed import amount, whole

Value = str | int | Decimal | None
MOST_MONEY = Decimal(10) ** 9
PERSONAL = frozenset({"name", "address", "telephone", "email"})  # may be somebody's own: kept where they can be erased


class NotFactError(ValueError):
    """A field that cannot be kept as typed. The text may be shown as it is."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One field. `kind`: line, text, code, days, percent, money, or choice (then `choices`)."""

    code: str
    label: str
    kind: str = "line"
    hint: str = ""
    most: int = 120
    needed: bool = False
    choices: tuple[tuple[str, str], ...] = ()


HEAD = (
    Fact("name", "Name of the shop", needed=True),
    Fact("address", "Address", "text", hint="As printed, line by line.", most=400, needed=True),
    Fact("telephone", "Telephone", most=40),
    Fact("email", "E-mail", most=254, hint="Owners’ answers to letters go here."),
    Fact(
        "region",
        "Country",
        "code",
        hint="Two letters, for telephone numbers without a country code.",
        most=2,
        needed=True,
    ),
    Fact(
        "time_zone", "Time zone", hint="By name, such as Europe/Lisbon. Days begin and end by it.", most=60, needed=True
    ),
    Fact("page", "Paper in the printer", "choice", choices=(("a4", "A4"), ("us-letter", "Letter"))),
    Fact(
        "currency",
        "Currency",
        "code",
        hint="Three letters. It cannot change once money is written down.",
        most=3,
        needed=True,
    ),
)
FIGURES = (
    Fact("estimate_days", "An estimate holds for", "days", hint="Days after it was sent.", most=730, needed=True),
    Fact("deposit_percent", "Deposit", "percent", hint="Of the estimate’s price, before work begins. 0 asks for none.", most=100, needed=True),
    Fact("deposit_above", "Deposit only above", "money", hint="Smaller estimates ask for no deposit.", needed=True),
    Fact(
        "cover_limit",
        "The insurance covers one item up to",
        "money",
        hint="Above it the head luthier accepts in writing first. Empty: no limit. Your policy decides.",
    ),
    Fact("settling_days", "Free settling visit within", "days", hint="Days after collection.", most=730, needed=True),
    Fact("markup_percent", "Added to the cost of materials", "percent", most=999, needed=True),
)  # fmt: skip
GROUPS: Mapping[str, tuple[Fact, ...]] = {"head": HEAD, "figures": FIGURES}


def read(fact: Fact, typed: str, *, places: int) -> Value:
    """What was typed as it is kept. Raises NotFactError in words. `places`: digits of the currency after the point."""
    text = (
        "\n".join(line.rstrip() for line in typed.strip().splitlines())
        if fact.kind == "text"
        else " ".join(typed.split())
    )
    if not text:
        if fact.needed:
            raise NotFactError(f"{fact.label}: this is needed.")
        return None if fact.kind == "money" else ""
    if fact.kind == "days":
        return _days(fact, text)
    if fact.kind in {"percent", "money"}:
        return _figure(fact, text, places)
    if len(text) > fact.most:
        raise NotFactError(f"{fact.label}: {len(text) - fact.most} letters too long. Shorten it to {fact.most}.")
    return _known(fact, text.upper() if fact.kind == "code" else text)


def _days(fact: Fact, text: str) -> int:
    plain_days = text.lower().removesuffix("days").strip()
    days = whole(plain_days) if plain_days.isascii() else 0
    if not 0 < days <= fact.most:
        raise NotFactError(f"{fact.label}: write a number of days from 1 to {fact.most}.")
    return days


def _figure(fact: Fact, text: str, places: int) -> Decimal:
    percent = fact.kind == "percent"
    try:
        figure = amount(text.removesuffix("%").strip() if percent else text)
    except NotMoneyError as fault:
        raise NotFactError(f"{fact.label}: {fault}") from fault
    digits, most = (2, Decimal(fact.most)) if percent else (places, MOST_MONEY)
    if not 0 <= figure <= most or figure == MOST_MONEY:
        raise NotFactError(
            f"{fact.label}: write {'a percentage from 0 to ' + str(fact.most) if percent else 'an amount not below zero'}."
        )
    if figure != rounded(figure, digits):
        raise NotFactError(f"{fact.label}: at most {digits} digits after the point.")
    return rounded(figure, digits)


def _known(fact: Fact, text: str) -> str:
    if fact.code == "currency" and text not in list_currencies():
        raise NotFactError(f"“{text}” is not a currency. Use its three letters, such as EUR.")
    if fact.code == "time_zone" and text not in available_timezones():
        raise NotFactError(f"“{text}” is not a time zone. Use a name such as Europe/Lisbon.")
    if fact.code == "region" and text not in SUPPORTED_REGIONS:
        raise NotFactError(f"“{text}” is not a country. Use its two letters, such as PT.")
    if fact.code == "email" and not (0 < text.find("@") < len(text) - 1 and text.count("@") == 1 and " " not in text):
        raise NotFactError(f"“{text}” is not an e-mail address.")
    if fact.choices and text not in dict(fact.choices):
        raise NotFactError(f"{fact.label}: choose one of those shown.")
    return text


def shown(fact: Fact, value: Value, *, places: int) -> str:
    """A kept value as its field shows it: “2,400.00”, “35”, “A4” stays its code."""
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return f"{value.normalize():f}" if fact.kind == "percent" else written(value, places)
    return str(value)


def coded(value: Value | date, *, places: int) -> str | None:
    """A value as an entry keeps it."""
    if isinstance(value, Decimal):
        return plain(value, max(places, 2))
    return None if value is None else str(value)
