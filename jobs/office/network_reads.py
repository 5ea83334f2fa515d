"""How the shop is reached on its own network, and what devices are to trust there. No query."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.utils import timezone

from jobs.office.lines import Standing
from shop.starting.authority import days_left, fingerprint
from shop.starting.trust import name_of

RUNS_OUT_SOON = 60  # days in which a head luthier is told; a start renews the certificate long before


@dataclass(frozen=True, slots=True)
class Network:
    """The shop's own https, as `serve` opened it."""

    public: str
    trust: str  # where a device learns to trust it
    name: str  # what devices call the authority
    fingerprint: str  # SHA-256, 32 pairs
    days_left: int  # of the web's certificate
    owners: str  # where letters lead owners to
    shut_out: bool  # whether owners cannot come there from outside

    @property
    def soon(self) -> bool:
        """Whether it must be started anew before it runs out."""
        return self.days_left < RUNS_OUT_SOON


def own_network(at: datetime) -> Network | None:
    """The shop's own https; None where the shop is reached another way."""
    try:
        authority = settings.AUTHORITY.read_bytes()
        web = settings.AUTHORITY.with_name("own.pem").read_bytes()
    except OSError:
        return None
    return Network(
        settings.PUBLIC_ADDRESS,
        settings.TRUST_ADDRESS,
        name_of(authority),
        fingerprint(authority),
        days_left(web, at=at),
        settings.OWNERS_ADDRESS,
        settings.OWNERS_ADDRESS == settings.PUBLIC_ADDRESS,
    )


def network_line(here: Standing) -> str:
    """How it stands, in one line."""
    found = own_network(here.at)
    if found is not None:
        return f"{found.public}; its certificate is good for {found.days_left} more days"
    if settings.PUBLIC_ADDRESS.startswith("https:"):
        return f"{settings.PUBLIC_ADDRESS}; its certificate is looked after elsewhere"
    return f"{settings.PUBLIC_ADDRESS}; not https, so phones and tablets will not open their camera"


def now() -> Network | None:
    """The shop's own https at this moment."""
    return own_network(timezone.now())
