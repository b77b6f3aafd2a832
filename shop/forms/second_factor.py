from django import forms


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
