"""A table in a form: a file, or figures typed or pasted."""

from django import forms
from django.core.files.uploadedfile import UploadedFile

from sizing.tables.named import ACCEPT


def table_file(label: str, help_text: str = "", required: bool = False) -> forms.FileField:
    return forms.FileField(
        label=label, help_text=help_text, required=required, widget=forms.FileInput(attrs=ACCEPT), allow_empty_file=True
    )


def typed_table(most_bytes: int, example: str = "", label: str = "Or typed", rows: int = 5) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": rows} | ({"placeholder": example} if example else {}))
    return forms.CharField(label=label, required=False, strip=False, max_length=most_bytes, widget=widget)


def size_refused(file: UploadedFile[bytes], most_bytes: int) -> str:
    """Why a file is too large to be read at all, before it is; empty where it is not."""
    if (file.size or 0) <= most_bytes:
        return ""
    return f"{file.name} has {file.size:,} bytes. Allowed: up to {most_bytes:,}; cut it or split it."


class FileOrTextMixin(forms.Form):
    """For a form with `file` and `text`."""

    def sent_table(self, most_bytes: int) -> tuple[bytes, str] | None:
        """The bytes of the one that was given, and which of the two it was; None where the form says what is wrong."""
        file, text = self.cleaned_data.get("file"), (self.cleaned_data.get("text") or "").strip()
        if file and text:
            self.add_error(None, "Send a file or type the figures, not both.")
        elif not file and not text:
            if not {"file", "text"} & set(self.errors):
                self.add_error("file", "Send a file, or type the figures below.")
        elif file and (why := size_refused(file, most_bytes)):
            self.add_error("file", why)
        else:
            return (file.read(), "file") if file else (text.encode(), "text")
        return None
