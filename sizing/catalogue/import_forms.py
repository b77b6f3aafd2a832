"""Forms for files: the upload, and the confirmation of what was shown."""

from django import forms
from django.core.exceptions import ValidationError

from sizing.tables.forms import size_refused, table_file
from sizing.tables.named import MAX_BYTES


class UploadForm(forms.Form):
    file = table_file("CSV or spreadsheet", required=True)

    def clean_file(self):
        file = self.cleaned_data["file"]
        if why := size_refused(file, MAX_BYTES):
            raise ValidationError(why)
        return file


class ConfirmForm(forms.Form):
    """Carries the file through the preview, so that nothing has to be kept between the two pages."""

    text = forms.CharField(max_length=MAX_BYTES, strip=False, widget=forms.HiddenInput)
    digest = forms.CharField(max_length=64, widget=forms.HiddenInput)
