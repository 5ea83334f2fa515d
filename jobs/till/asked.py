"""What the forms of the till send, read strictly: amounts, the key of a press, coins and notes."""

from decimal import Decimal

from django.http import HttpRequest

from jobs.billing.steps import amount_in
from jobs.billing.takings import Coins
from jobs.book.refusals import Refused
from shop.money import ZERO, NotMoneyError, rounded
from shop.typed import amount as typed_amount

MOST_COINS = 40


def key_in(request: HttpRequest) -> str:
    """The key of this press; the step refuses a wrong one."""
    return request.POST.get("key", "")


def asked_amount(request: HttpRequest, places: int, name: str = "amount") -> Decimal:
    """An amount above zero. Raises Refused in words."""
    return amount_in(request.POST.get(name, ""), places)


def maybe_amount(request: HttpRequest, name: str, places: int) -> Decimal | None:
    """An amount of nothing or more, None for an empty field. Raises Refused in words."""
    text = request.POST.get(name, "").strip()
    if not text:
        return None
    try:
        if typed_amount(text) == 0:
            return ZERO
    except NotMoneyError:
        pass  # amount_in says it in words
    return amount_in(text, places)


def coins_in(request: HttpRequest, places: int) -> tuple[Coins, ...]:
    """Coins and notes: pairs of a worth and how many; rows with nothing counted are left out. Raises Refused in words."""
    worths, manys = request.POST.getlist("worth"), request.POST.getlist("many")
    found: dict[Decimal, int] = {}
    for worth, many in zip(worths[:MOST_COINS], manys[:MOST_COINS], strict=False):
        if not many.strip() or many.strip() == "0":
            continue
        if not (many.strip().isascii() and many.strip().isdecimal() and len(many.strip()) <= 6):
            raise Refused(f"“{many[:20]}” is not a number of coins or notes.")
        each = amount_in(worth, places)
        found[each] = found.get(each, 0) + int(many)
    return tuple(Coins(rounded(each, places), many) for each, many in sorted(found.items(), reverse=True))
