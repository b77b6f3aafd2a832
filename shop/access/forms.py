"""People, passwords and codes."""

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from shop.access.models import Person
from shop.access.roles import ROLES


class PasswordMixin(forms.Form):
    password = forms.CharField(
        min_length=12,
        max_length=200,
        strip=False,
        help_text="12 characters or more; a sentence is good",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_password(self):
        password = self.cleaned_data["password"]
        validate_password(
            password, Person(username=self.data.get("username", ""), full_name=self.data.get("full_name", ""))
        )
        return password


class PersonForm(PasswordMixin, forms.Form):
    full_name = forms.CharField(label="Name", max_length=120)
    username = forms.CharField(label="Log-in name", max_length=60)
    role = forms.ChoiceField(choices=[(role, role) for role in ROLES])

    def clean_username(self):
        username = self.cleaned_data["username"]
        if Person.objects.filter(username__iexact=username).exists():
            raise ValidationError(f"Log-in name: '{username}' is taken. Choose another.")
        return username


class CodeForm(forms.Form):
    """`check` says of person and code whether the code is right, by an answer that is not empty."""

    code = forms.CharField(
        max_length=20,
        label="Code",
        help_text="six digits from the phone, or a paper code",
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "inputmode": "text", "autofocus": True, "autocapitalize": "off"}
        ),
    )

    def __init__(self, person, *args, check, **kwargs):
        self.person, self.check = person, check
        super().__init__(*args, **kwargs)

    def clean_code(self):
        code = self.cleaned_data["code"].replace(" ", "")
        self.answer = self.check(self.person, code)
        if not self.answer:
            raise forms.ValidationError(
                "This code is not right, was used already, or came too soon after wrong ones. Wait for the phone's next code; its clock must be right."
            )
        return code
