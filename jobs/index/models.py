"""IndexWord: one word by which an owner, an item, a job or a tag is found."""

from typing import ClassVar

from django.db import models

from jobs.index.fields import Codepoints
from jobs.index.words import LONGEST

KINDS = {"J": "job", "I": "item", "P": "party", "T": "tag"}
ANYONE, DESK = 0, 1  # who may find by a word: everybody inside, or whoever may see an owner's address and telephone


class IndexWord(models.Model):
    """Made from the book and never the truth: `manage.py prepare` fills it again from nothing."""

    kind = models.CharField(max_length=1, choices=list(KINDS.items()))
    of = models.BigIntegerField(help_text="id of the job, item or party; for a tag its item")
    word = Codepoints(max_length=LONGEST)
    shows = models.PositiveSmallIntegerField(default=ANYONE)
    here = models.BooleanField(
        default=False, help_text="an open job, whatever of somebody's is in the shop, a tag in use"
    )
    rank = models.BigIntegerField(help_text="seconds: the newest first")

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["of", "kind", "word"], name="index_words_of_one")]
        indexes: ClassVar = [
            # Holds all that a search reads, so it never looks at the rows themselves. It begins with `here`, which only a
            # search names: SQLite, which keeps no figures, would else take it for the words of one thing too.
            models.Index(fields=["here", "kind", "word", "rank", "of", "shows"], name="index_by_words"),
        ]

    def __str__(self) -> str:
        return f"{self.word} {self.kind}{self.of}"
