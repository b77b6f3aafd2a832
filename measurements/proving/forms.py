"""Deciding a proving run."""

from django import forms

from measurements.proving.models import ProvingRun


class DecideForm(forms.Form):
    decision = forms.ChoiceField(choices=ProvingRun.DECISIONS, widget=forms.RadioSelect, label="What is to happen")
    reason = forms.CharField(widget=forms.Textarea(attrs={"rows": 3}), label="Why")
    next_title = forms.CharField(
        max_length=120, required=False, label="Title of the next stage",
        help_text="only for 'plan the next stage': a copy of this plan is added to the job as a draft",
    )  # fmt: skip
