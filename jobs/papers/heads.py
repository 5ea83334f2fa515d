"""The head of every paper, from the shop's profile."""

from jobs.papers.texts import ShopHead
from shop.profile.models import Profile

NO_CURRENCY = "XXX"  # ISO 4217: no currency involved


def shop_head(shop: Profile) -> ShopHead:
    """Name, address and page of the shop as its papers carry them."""
    return ShopHead(
        name=shop.name,
        address=tuple(line.strip() for line in shop.address.splitlines() if line.strip()),
        telephone=shop.telephone,
        email=shop.email,
        currency="" if shop.currency == NO_CURRENCY else shop.currency,
        page=shop.page,
    )
