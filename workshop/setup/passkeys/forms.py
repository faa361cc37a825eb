"""What is typed to add a passkey, and what the device answers."""

from django import forms

from inventory.web.forms import EntryForm


class PasskeyForm(EntryForm):
    name = forms.CharField(
        label="What the passkey is called",
        max_length=40,
        help_text="Where it will be kept: my phone, the kitchen laptop, the blue key.",
    )
    old = forms.CharField(
        label="Your password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        help_text="Asked unless you signed in with it, a passkey or a link within the last ten minutes.",
    )


class PasskeyAnswerForm(EntryForm):
    answer = forms.CharField(max_length=9000, required=False, widget=forms.HiddenInput(attrs={"autocomplete": "off"}))
