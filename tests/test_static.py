import os

from django.core.management import call_command

from shop import settings as own


def test_the_licence_of_the_fonts_names_the_authors_of_every_family():
    """The licence asks that each copy holds its copyright notice (SIL OFL 1.1, condition 2)."""
    notice = (own.BASE_DIR / "shop/static/shop/fonts/OFL.txt").read_text()
    fonts = [path.name.split("-")[2] for path in (own.BASE_DIR / "shop/static/shop/fonts").glob("*.woff2")]
    assert len(fonts) >= 6
    for script in fonts:
        project = "devanagari" if script == "devanagari" else "latin-greek-cyrillic"
        assert f"Copyright 2022 The Noto Project Authors (https://github.com/notofonts/{project})" in notice, script


def test_style_sheets_and_scripts_can_be_collected_with_nothing_missing(settings, tmp_path):
    """The manifest storage fails on a style sheet that points at a file that is not there."""
    settings.STATIC_ROOT = tmp_path / "static"
    settings.STORAGES = settings.STORAGES | {"staticfiles": own.STORAGES["staticfiles"]}
    before = os.umask(0o027)
    try:
        call_command("collectstatic", interactive=False, verbosity=0)
    finally:
        os.umask(before)
    files = [p for p in settings.STATIC_ROOT.rglob("*") if p.is_file()]
    assert any(p.name.startswith("app.") and p.name.endswith(".css.br") for p in files)
    # Collected by one user and served by another, as in the image, whatever else uploads are kept to.
    copied = [p for p in files if p.suffix not in {".br", ".gz"}]  # what is packed beside them is optional
    assert [p.name for p in copied if not p.stat().st_mode & 0o004] == []
