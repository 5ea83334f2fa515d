"""Hub for Django only: imports every slice's models. Nobody imports it."""

from jobs.bench.models import BenchNote, Check, CheckTick, Wait, WorkSpell
from jobs.billing.models import (
    CreditLine,
    CreditNote,
    DrawerCount,
    Invoice,
    InvoiceJob,
    InvoiceLine,
    OnAccount,
    Payment,
)
from jobs.book.models import (
    Accessory,
    Correction,
    Counter,
    Entry,
    Followed,
    Hold,
    Item,
    Job,
    JobParty,
    Party,
    Press,
    Pulse,
    Visit,
    Watermark,
)
from jobs.catalogue.models import FixedPrice, Operation, PriceList, Rate, Word
from jobs.condition.models import ConditionLine, Finding
from jobs.custody.models import Location, Release, ReleasedThing, Sighting
from jobs.estimates.models import Answer, Estimate, Line, Option, Question, Refusal, WithdrawnAnswer
from jobs.index.models import IndexWord
from jobs.intake.models import Draft
from jobs.links.models import Link
from jobs.papers.models import ChainHead, Paper, PaperPhoto, Signature
from jobs.photos.models import Photo, PhotoAlso
from jobs.tags.models import Tag
from jobs.updates.models import Message, OwnWords

__all__ = [
    "Accessory",
    "Answer",
    "BenchNote",
    "ChainHead",
    "Check",
    "CheckTick",
    "ConditionLine",
    "Correction",
    "Counter",
    "CreditLine",
    "CreditNote",
    "Draft",
    "DrawerCount",
    "Entry",
    "Estimate",
    "Finding",
    "FixedPrice",
    "Followed",
    "Hold",
    "IndexWord",
    "Invoice",
    "InvoiceJob",
    "InvoiceLine",
    "Item",
    "Job",
    "JobParty",
    "Line",
    "Link",
    "Location",
    "Message",
    "OnAccount",
    "Operation",
    "Option",
    "OwnWords",
    "Paper",
    "PaperPhoto",
    "Party",
    "Payment",
    "Photo",
    "PhotoAlso",
    "Press",
    "PriceList",
    "Pulse",
    "Question",
    "Rate",
    "Refusal",
    "Release",
    "ReleasedThing",
    "Sighting",
    "Signature",
    "Tag",
    "Visit",
    "Wait",
    "Watermark",
    "WithdrawnAnswer",
    "Word",
    "WorkSpell",
]
