"""Forms of the catalogue: one for each kind of thing, and the filters of its list."""

from django import forms

from sizing.catalogue.kinds import ABSOLUTE, Kind, label_of, unit_of
from sizing.catalogue.models import Plunger
from sizing.units.fields import NumberField, ShownNumberField, number_field
from sizing.units.quantities import CHOICE_OF_UNIT


def _field(db_field, **kwargs):
    """The model's field in its stored unit, as files have it, with the unit beside the label, and comma or point in numbers."""
    made = number_field(db_field, label=label_of(db_field), **kwargs)
    if made is not None and not hasattr(made, "unit"):
        made.unit = unit_of(db_field.name)
    elif made is not None:
        made.unit = made.unit or unit_of(db_field.name)
    return made


def _shown_field(db_field, **kwargs):
    """The same in the unit that the workshop reads, where it has a choice."""
    made = _field(db_field, **kwargs)
    unit = unit_of(db_field.name)
    if unit not in CHOICE_OF_UNIT or not isinstance(made, NumberField):
        return made
    shown = ShownNumberField(
        unit,
        made.low,
        made.high,
        label=made.label,
        required=made.required,
        initial=made.initial,
        help_text=made.help_text,
        when_empty=made.when_empty,
    )
    if db_field.name in ABSOLUTE:
        shown.unit = f"{shown.unit} absolute"
    return shown


class _ItemForm(forms.ModelForm):
    def clean(self):
        """A figure that nobody touched keeps every stored digit, in whatever unit it was shown."""
        given = super().clean() or self.cleaned_data
        for name, field in self.fields.items():
            if (
                isinstance(field, ShownNumberField)
                and self.instance.pk
                and name in given
                and name not in self.changed_data
            ):
                given[name] = getattr(self.instance, name)
        return given


def item_form(kind: Kind) -> type[forms.ModelForm]:
    return forms.modelform_factory(kind.model, form=_ItemForm, fields=kind.fields, formfield_callback=_shown_field)


def row_form(model, fields) -> type[forms.ModelForm]:
    """A form for one row of a file. Whether the row is there already has been looked up for all rows at once."""
    return forms.modelform_factory(model, form=_RowForm, fields=fields, formfield_callback=_field)


class _RowForm(forms.ModelForm):
    def _post_clean(self):
        """As Django's, without the query for uniqueness that each row would cost."""
        self.instance = forms.models.construct_instance(self, self.instance, self._meta.fields)
        try:
            self.instance.clean_fields(exclude=self._get_validation_exclusions())
        except forms.ValidationError as error:
            self.add_error(None, error)


class PlungerForm(forms.ModelForm):
    class Meta:
        model = Plunger
        fields = ("pump", "diameter_mm", "effective_stroke_max_mm", "price")
        formfield_callback = _field
        widgets = {"pump": forms.HiddenInput}


class FilterForm(forms.Form):
    q = forms.CharField(
        label="Make or name", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"})
    )
    retired = forms.ChoiceField(
        label="Retired", required=False, choices=[("", "offered now"), ("yes", "retired"), ("all", "both")]
    )
    stock = forms.ChoiceField(
        label="Stock", required=False, choices=[("", "any"), ("yes", "in stock"), ("no", "to be ordered")]
    )
    wastegate = forms.ChoiceField(
        label="Wastegate", required=False, choices=[("", "either"), ("yes", "with"), ("no", "without")]
    )
    sort = forms.ChoiceField(label="Sorted by", required=False)

    def __init__(self, kind: Kind, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["sort"].choices = list(kind.sorts.items())
        if kind.slug != "turbo":
            del self.fields["wastegate"]

    def found(self, items):
        """What the filters leave, in the order asked for; a filter that is not understood leaves everything."""
        given = getattr(self, "cleaned_data", {})
        return (
            items.matching(given.get("q", ""))
            .narrowed(
                retired=given.get("retired", ""), stock=given.get("stock", ""), wastegate=given.get("wastegate", "")
            )
            .sorted_by(given.get("sort", ""))
        )
