"""Sign-in, PIN and kiosk registration forms."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """Staff name and password."""

    error_messages = {
        "invalid_login": "That name and password do not go together. Look at both and try again.",
        "inactive": "This person no longer signs in here.",
    }

    def __init__(self, request: Any = None, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.fields["username"].label = "Staff name"
        self.fields["username"].widget.attrs.update(autocapitalize="none", autocomplete="username", spellcheck="false")


class PinForm(forms.Form):
    """Staff name and PIN at the kiosk."""

    username = forms.CharField(
        label="Staff name",
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
    )
    pin = forms.CharField(
        label="PIN",
        max_length=12,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


class KioskForm(forms.Form):
    """A name for this tablet."""

    name = forms.CharField(label="Name of this tablet", max_length=60, initial="Front desk tablet")
