"""What the handover page sends: who collects, how known, the signature."""

import json
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from jobs.book.refusals import Refused
from jobs.papers.signatures import read_strokes
from jobs.papers.texts import Signed, moment


class HandOverForm(forms.Form):
    """Collector, identity and signature; the ticks are read beside it."""

    collector = forms.TypedChoiceField(
        coerce=int, label="Who may collect", error_messages={"required": "Choose who collects."}
    )
    collector_name = forms.CharField(label="Name of whoever stands here", max_length=160)
    identity_note = forms.CharField(
        label="How you know it is them",
        max_length=160,
        help_text="Known to us; or which paper they showed, not its number.",
    )
    strokes = forms.CharField(required=False, widget=forms.HiddenInput)
    typed_name = forms.CharField(label="Typed name", max_length=160, required=False)
    witness = forms.CharField(label="Witness of the shop", max_length=160, required=False)

    def __init__(self, collectors: list[tuple[int, str]], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["collector"].choices = collectors  # type: ignore[attr-defined]

    def signed(self, *, at: datetime, zone: ZoneInfo) -> Signed:
        """The signature: drawn, or a typed name with a witness. Raises Refused in words."""
        name, stamp = self.cleaned_data["collector_name"].strip(), moment(at, zone)
        typed, witness = self.cleaned_data["typed_name"].strip(), self.cleaned_data["witness"].strip()
        if typed and not witness:
            raise Refused("A typed name needs a witness. Write who of the shop saw it.")
        if typed:
            return Signed(role="collector", name=typed, at=stamp, how="typed", witness=witness)
        try:
            sent = json.loads(self.cleaned_data["strokes"] or "[]")
        except (ValueError, RecursionError) as fault:
            raise Refused("The signature did not arrive whole. Wipe and sign again.") from fault
        return Signed(role="collector", name=name, at=stamp, strokes=read_strokes(sent))
