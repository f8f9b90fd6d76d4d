import pytest

from webapp.folders import PACKAGE
from webapp.stages.design import imports
from webapp.stages.design.csv_out import cell, table_text
from webapp.stages.design.imports import FACTS, NEEDS, RUNS, NotAList, read_list

NEED = "Horn,foredeck,motor,4"
HEAD = "need,place,kind,rating"


def cells(text: str) -> list[dict[str, str]]:
    return [dict(line.cells) for line in read_list(NEEDS, text).lines]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_separators_line_ends_and_byte_order_mark(separator: str, end: str, mark: str) -> None:
    text = mark + end.join((HEAD, NEED, "")).replace(",", separator)
    assert cells(text) == [{"name": "Horn", "place": "foredeck", "kind": "motor", "rating": "4"}]


@pytest.mark.parametrize(
    ("head", "unused"),
    [
        ("Need,Where,Kind,Rated", ()),
        ("LOAD,location,Type,rating", ()),
        ("need , place,kind,Rating,Colour", ("Colour",)),
        ("need,place,kind,rating,,", ()),
    ],
)
def test_spellings_of_the_columns(head: str, unused: tuple[str, ...]) -> None:
    read = read_list(NEEDS, f"{head}\n{NEED}")
    assert read.unused == unused
    assert set(read.fields) == {"name", "place", "kind", "rating"}


def test_blanks_and_dashes_are_underscores() -> None:
    text = f"{HEAD},Rated at V,max-drop percent,Control Place\n{NEED},12,3,helm"
    assert cells(text)[0] | {"rated_at_v": "12", "control_place": "helm"} == cells(text)[0]


def test_quotes_line_breaks_and_line_numbers() -> None:
    text = f'{HEAD},note\n\n"Horn, big",bow,motor,4,"two\nlines"\nLamp,bow,lamp,5,"say ""so"""\n'
    read = read_list(NEEDS, text)
    assert [line.number for line in read.lines] == [3, 5]
    assert read.lines[0].cells["name"] == "Horn, big"
    assert read.lines[0].cells["note"] == "two\nlines"
    assert read.lines[1].cells["note"] == 'say "so"'


def test_a_decimal_comma_where_commas_do_not_part() -> None:
    text = f"{HEAD},note\n{NEED},a;b".replace(",", ";").replace(";4;a;b", ";3,5;2,5")
    assert cells(text)[0]["rating"] == "3.5"
    assert cells(text)[0]["note"] == "2,5"


def test_cells_beyond_the_columns_are_named() -> None:
    line = read_list(NEEDS, f"{HEAD}\n{NEED},left over").lines[0]
    assert line.number == 2
    assert "5 cells, and 4 columns" in line.problem


def test_fewer_cells_are_empty_ones() -> None:
    assert cells(f"{HEAD},note\n{NEED}")[0]["note"] == ""


def test_an_open_quote_is_named_with_its_line() -> None:
    lines = read_list(NEEDS, f'{HEAD}\n{NEED}\n"Lamp"x,bow,lamp,5\n').lines
    assert lines[0].problem == ""
    assert (lines[1].number, "quoted cell" in lines[1].problem) == (3, True)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "Paste a list"),
        ("  \n ", "Paste a list"),
        (HEAD, "no rows"),
        (f"need,place,kind\n{NEED}", "rating is not there"),
        ("Horn,foredeck,motor,4", "name the columns"),
        (f"need,load,place,kind,rating\n{NEED}", "more than once"),
        (f"{HEAD}\n" + f"{NEED}\n" * 2001, "2,001 rows"),
        (f"{HEAD}\n{'x' * (1024 * 1024)}", "larger than 1 MB"),
        (f"{HEAD}\nHorn\0,bow,motor,4", "no text"),
        ('"need,place', "cannot be read"),
    ],
)
def test_what_cannot_be_read_at_all(text: str, why: str) -> None:
    with pytest.raises(NotAList, match=why):
        read_list(NEEDS, text)


def test_measured_by_is_how_unless_that_has_its_own_column() -> None:
    head = "from_place,to_place,measured_by"
    assert read_list(RUNS, f"{head}\na,b,tape").lines[0].cells["measured_how"] == "tape"
    read = read_list(RUNS, f"{head},measured_how\na,b,Ina,tape").lines[0].cells
    assert (read["measured_by"], read["measured_how"]) == ("Ina", "tape")


def test_files_of_several_encodings() -> None:
    text = "field,value\nambient_c,35 °C"
    for encoding in ("utf-8", "utf-8-sig", "cp1252", "utf-16"):
        read = read_list(FACTS, imports.decode(text.encode(encoding)))
        assert read.lines[0].cells["value"] == "35 °C"
    with pytest.raises(NotAList, match="not text"):
        imports.decode(b"\x89PNG\r\n\x1a\n\x81\x8d")
    with pytest.raises(NotAList, match="1 MB"):
        imports.decode(b"x" * (imports.MOST_BYTES + 1))


@pytest.mark.parametrize(
    "text", ["=1+1", "+44", "-x", "@sum", "'=already", "''-x", "plain", "'t", "＝1+1", "'＠x"]
)
def test_formulas_are_made_safe_and_read_back(text: str) -> None:
    safe = cell(text)
    assert safe[0] not in "=+-@＝＋－＠"
    assert cells(f'{HEAD}\n"{safe}",bow,motor,4')[0]["name"] == text


@pytest.mark.parametrize("text", ["\t=1+1", "\r=1+1", "\n=1+1", "\0=1+1", " =1+1", "\u00a0-x"])
def test_what_hides_a_formula_is_guarded_too(text: str) -> None:
    assert cell(text) == f"'{text}"


def test_every_list_is_written_by_one_function() -> None:
    """It takes cells alone, which only `cell` makes; mypy holds that."""
    writers = [path.name for path in PACKAGE.rglob("*.py") if "csv.writer" in path.read_text()]
    # The others write a route within one cell, and the fit of the heat model for ourselves.
    assert sorted(writers) == ["csv_out.py", "fit.py", "lines.py"]
    assert table_text(["=a", "b"], [[cell("-b"), cell(-2.5)]]) == "'=a,b\r\n'-b,-2.5\r\n"


def test_numbers_stay_numbers() -> None:
    assert [cell(value) for value in (-40.0, 3, 0.00001, True, False, None)] == [
        "-40",
        "3",
        "0.00001",
        "yes",
        "",
        "",
    ]
