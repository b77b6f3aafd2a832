from django import forms

from measurements.intake.models import IntakeToken


class TokenForm(forms.ModelForm):
    class Meta:
        model = IntakeToken
        fields = ["name"]
        labels = {"name": "Which box, and where it stands"}
