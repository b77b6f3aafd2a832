"""Templates are laid out by the formatter that `make lint` runs; what it cannot break is kept short by hand."""

from pathlib import Path

from django.template import Context, Template

TEMPLATES = Path(__file__).parents[1] / "templates"
LONGEST = 120


def test_no_line_of_a_template_is_longer_than_120_characters():
    files = [path for path in TEMPLATES.rglob("*") if path.is_file()]
    assert {path.suffix for path in files} == {".html"}
    long = [
        f"{path.relative_to(TEMPLATES)}:{number}: {len(line)}"
        for path in files
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if len(line) > LONGEST
    ]
    assert long == []


def test_a_table_head_knows_its_columns_of_numbers():
    head = Template('{% heads "Turbo" "#Fitted" %}').render(Context())
    assert " ".join(head.split()) == (
        '<thead> <tr> <th scope="col" >Turbo</th> <th scope="col" class="num">Fitted</th> </tr> </thead>'
    )
