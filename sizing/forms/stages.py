from django import forms

from sizing.models import Cooler, Plan


class StagesForm(forms.Form):
    """What the plan is put beside: itself without and with a cooler, or another plan."""

    cooler = forms.ModelChoiceField(
        Cooler.objects.none(), label="Cooler of the second stage", required=False, empty_label="none chosen"
    )
    other = forms.ModelChoiceField(Plan.objects.none(), required=False, widget=forms.HiddenInput)

    def __init__(self, plan: Plan, data=None):
        super().__init__(data)
        self.fields["cooler"].queryset = Cooler.objects.to_choose(plan.cooler_id)
        self.fields["cooler"].initial = plan.cooler_id
        self.fields["other"].queryset = Plan.objects.with_parts().exclude(pk=plan.pk)
