import re
import shutil
import subprocess
import zlib
from pathlib import Path

import pytest

from engraver.errors import OutputError
from engraver.outputs.drawing import Drawing
from engraver.outputs.pdf import finish, place_holder
from engraver.outputs.svg_drawing import read_svg
from tests.outputs.book_samples import HEAD, staff, staff_svg


def operators(drawing: Drawing) -> str:
    return zlib.decompress(drawing.operators).decode()


def svg(inside: str) -> bytes:
    return (HEAD.format(width=100, height=50) + inside + "</svg>").encode()


def test_the_size_is_that_of_the_svg_in_big_points() -> None:
    """72 points are an inch of 25.4 mm."""
    drawing = staff(0, width=144, height=72)
    assert (drawing.width_mm, drawing.height_mm) == (pytest.approx(50.8), pytest.approx(25.4))


def test_a_path_becomes_moves_lines_curves_and_paint() -> None:
    """Numbers before their operator, a filled path ends in f."""
    drawing = read_svg(svg('<path d="M 1 2 L 3 4 C 5 6 7 8 9 10 Z"/>'))
    assert re.sub(r"\s+", " ", operators(drawing)).strip() == "0 g 1 2 m 3 4 l 5 6 7 8 9 10 c h f"


def test_a_stroked_path_keeps_its_width_cap_and_transform() -> None:
    """The transform wraps the path; only the stroke is painted."""
    text = operators(
        read_svg(
            svg(
                '<path style="fill:none;stroke-width:0.25;stroke-linecap:round;stroke:rgb(0%,0%,0%)"'
                ' d="M 0 0 L 1 0" transform="matrix(2,0,0,-2,3,4)"/>'
            )
        )
    )
    assert text.startswith("q 2 0 0 -2 3 4 cm")
    assert "0.25 w" in text
    assert "1 J" in text
    assert text.split()[-2:] == ["S", "Q"]


def test_a_dashed_stroke_stays_dashed_and_the_next_is_whole() -> None:
    """The dashes of one line (ISO 32000-1, 8.4.3.6) do not reach the next."""
    stroke = '<path style="fill:none;stroke:black{}" d="M 0 0 L 9 0"/>'
    dashed, plain = operators(
        read_svg(svg(stroke.format(";stroke-dasharray:0.4,0.75") + stroke.format("")))
    ).splitlines()
    assert dashed.startswith("q [0.4 0.75] 0 d ")
    assert dashed.endswith(" S Q")
    assert " d " not in plain


@pytest.mark.parametrize(
    ("colour", "grey"),
    [("#fff", "1"), ("white", "1"), ("rgb(0%,0%,0%)", "0"), ("rgb(50%,50%,50%)", "0.5"), ("#ff0000", "0.2126")],
)
def test_colours_become_greys(colour: str, grey: str) -> None:
    """A book is printed in black and grey alone."""
    assert (
        operators(read_svg(svg(f'<rect x="1" y="2" width="3" height="4" fill="{colour}"/>')))
        == f"{grey} g 1 2 3 4 re f"
    )


def test_equal_glyphs_carry_equal_names_and_others_do_not() -> None:
    """The name is made of the outline alone, so that a book keeps each glyph once."""
    other = read_svg(staff_svg(5).replace(b"-4 8 -4", b"-3 8 -3"))
    names = [[outline.name for outline in drawing.outlines] for drawing in (staff(1), staff(2), other)]
    assert names[0] == names[1]
    assert names[0] != names[2]


def test_a_drawing_survives_being_kept() -> None:
    """Kept and read back it is the same drawing."""
    drawing = staff(7)
    assert Drawing.from_bytes(drawing.to_bytes()) == drawing


@pytest.mark.parametrize("kept", [b"", b"no drawing", b"{}\n", b'{"size": [1], "outlines": []}\n'])
def test_damaged_bytes_are_no_drawing(kept: bytes) -> None:
    """The cure is told."""
    with pytest.raises(OutputError, match="empty the build folder"):
        Drawing.from_bytes(kept)


@pytest.mark.parametrize(
    ("inside", "told"),
    [
        ("<text>p</text>", "it holds <text>"),
        ('<path d="m 1 1 l 2 2"/>', "it holds the path step 'm 1 1 '"),
        ('<path d="M 1 1 2 2"/>', "it holds the path step 'M 1 1 2 2'"),
        ('<g transform="skewX(3)"/>', "it holds the transform 'skewX"),
        ("<g>", "system-1"),
    ],
)
def test_what_cannot_be_drawn_is_refused_by_name(inside: str, told: str) -> None:
    """The error names the picture and what it holds."""
    with pytest.raises(OutputError, match="'system-1' cannot be drawn") as error:
        read_svg(svg(inside), "system-1")
    assert told in str(error.value)


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm is not installed")
def test_the_page_looks_as_if_the_typesetter_had_drawn_the_svg_itself(tmp_path: Path) -> None:
    """The same SVG set as an image and put in as a drawing: hardly a pixel of the two pages differs."""
    import typst

    source = staff_svg(30)
    red, green, blue = place_holder(0)
    size = "width: 400pt, height: 60pt"
    holder = f'image(bytes(({red}, {green}, {blue})), format: (encoding: "rgb8", width: 1, height: 1), fit: "stretch", {size})'
    (tmp_path / "staff.svg").write_bytes(source)
    plain = typst.compile(f'#image("staff.svg", {size})'.encode(), root=str(tmp_path))
    ours = finish(typst.compile(f"#{holder}".encode()), [read_svg(source)]).pdf
    first, second = (_pixels(pdf, tmp_path) for pdf in (plain, ours))
    differing = sum(1 for one, other in zip(first, second, strict=True) if abs(one - other) > 96)
    assert sum(1 for pixel in first if pixel < 96) > 1000
    assert differing < 20


def _pixels(pdf: bytes, tmp_path: Path) -> bytes:
    """The grey pixels of the first page at 150 dots an inch."""
    (tmp_path / "page.pdf").write_bytes(pdf)
    run = subprocess.run(
        ["pdftoppm", "-gray", "-r", "150", "-singlefile", tmp_path / "page.pdf"], capture_output=True, check=True
    )
    return run.stdout.split(b"\n", 3)[3]
