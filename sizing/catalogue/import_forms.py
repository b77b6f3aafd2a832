"""Forms for files: the upload, and the confirmation of what was shown."""

from django import forms
from django.core.exceptions import ValidationError

from sizing.tables.csv_io import MAX_BYTES


class UploadForm(forms.Form):
    file = forms.FileField(
        label="CSV file", allow_empty_file=True, widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv"})
    )

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise ValidationError(f"{file.name} has {file.size:,} bytes; at most {MAX_BYTES:,} are taken. Split it.")
        return file


class ConfirmForm(forms.Form):
    """Carries the file through the preview, so that nothing has to be kept between the two pages."""

    text = forms.CharField(max_length=MAX_BYTES, strip=False, widget=forms.HiddenInput)
    digest = forms.CharField(max_length=64, widget=forms.HiddenInput)
