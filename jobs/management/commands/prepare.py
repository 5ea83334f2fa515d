"""`manage.py prepare`: what every shop begins with. Safe to run at each start; nothing a shop changed is touched."""

import json
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from jobs.catalogue.steps import load_fixed_prices, load_operations, load_prices, load_words
from jobs.custody.steps import begin_places
from jobs.index.steps import fill
from shop.profile.steps import begin_taxes, begin_terms


class Command(BaseCommand):
    """Fills in words, operations, prices, terms, taxes, places and what things are found by where they are wanting."""

    help = "Fill in the trade's words, operations, first prices, terms, taxes and places where they are wanting."

    def handle(self, *_args: Any, **_options: Any) -> None:
        at = timezone.now()
        begin = json.loads((settings.ROOT / "fixtures" / "shop.json").read_text(encoding="utf-8"))
        load_words(at)
        load_operations(at)
        load_prices(at)
        load_fixed_prices(at)
        begin_places([(place["name"], place["room"]) for place in begin["places"]], at=at)
        taxes = begin_taxes([(tax["code"], tax["words"], Decimal(tax["rate"])) for tax in begin["taxes"]])
        terms = begin_terms("\n\n".join(begin["terms"]), at=at)
        fill()
        if (taxes or terms) and not settings.DEMO:
            self.stdout.write(
                "Terms 1 and the tax rates are samples. Follow local law: "
                "have both checked by a licensed professional before the first owner signs."
            )
