from django.core.management import call_command


def test_style_sheets_and_scripts_can_be_collected_with_nothing_missing(settings, tmp_path):
    """The manifest storage fails on a style sheet that points at a file that is not there."""
    settings.STATIC_ROOT = tmp_path / "static"
    settings.STORAGES = settings.STORAGES | {
        "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"}
    }
    call_command("collectstatic", interactive=False, verbosity=0)
    names = {p.name for p in settings.STATIC_ROOT.rglob("*")}
    assert any(name.startswith("app.") and name.endswith(".css.br") for name in names)
