"""Hand-made systems and small books for the tests of the book room."""

from engraver.outputs.drawing import Drawing
from engraver.outputs.pages import BookPages, ChapterPages, ExercisePage, Tempo
from engraver.outputs.richtext import parse_text
from engraver.outputs.svg_drawing import read_svg

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}">'
)


def staff_svg(mark: int, width: int = 400, height: int = 60) -> bytes:
    """Five lines, a bar line and a note head that stands at another place for each `mark`."""
    lines = "".join(
        f'<path style="fill:none;stroke-width:0.1;stroke-linecap:round;stroke:rgb(0%,0%,0%);" '
        f'd="M 1 {-row} L {width / 5 - 1} {-row} " transform="matrix(5,0,0,-5,0,10)"/>'
        for row in range(5)
    )
    head = '<symbol overflow="visible" id="g0"><path style="stroke:none;" d="M 0 0 C 0 -4 8 -4 8 0 C 8 4 0 4 0 0 Z"/></symbol>'
    note = f'<g style="fill:rgb(0%,0%,0%);"><use xlink:href="#g0" x="{20 + mark % 300}" y="20"/></g>'
    cover = '<path style="stroke:none;fill:rgb(100%,100%,100%);" d="M 30 40 L 40 40 L 40 50 L 30 50 Z"/>'
    bar = f'<rect x="{width - 6}" y="10" width="1.5" height="20"/>'
    return (
        HEAD.format(width=width, height=height) + f"<defs><g>{head}</g></defs>{lines}{cover}{note}{bar}</svg>"
    ).encode()


def staff(mark: int, width: int = 400, height: int = 60) -> Drawing:
    """The same as a drawing."""
    return read_svg(staff_svg(mark, width, height))


def exercise(number: int, systems: tuple[str, ...] = (), **changes: object) -> ExercisePage:
    """An exercise with one system of its own unless told otherwise."""
    fields: dict[str, object] = {
        "id": f"ex-{number}",
        "number": str(number),
        "title": f"Line {number} in fifth position",
        "systems": systems or (f"ex-{number}-1",),
        "alt": f"Music of exercise {number}.",
        "tempo": Tempo(4, 0, 60, 96),
    }
    return ExercisePage(**{**fields, **changes})  # type: ignore[arg-type]


def book(chapters: int = 2, exercises: int = 3, **changes: object) -> BookPages:
    """A book whose exercises count from 1 through all chapters."""
    made = tuple(
        ChapterPages(
            f"Chapter {chapter + 1}",
            tuple(exercise(chapter * exercises + place + 1) for place in range(exercises)),
            parse_text("Play *slowly*."),
        )
        for chapter in range(chapters)
    )
    fields: dict[str, object] = {"title": "Lines for the Left Hand", "author": "A. Teacher", "chapters": made}
    return BookPages(**{**fields, **changes})  # type: ignore[arg-type]


def drawings(pages: BookPages, height: int = 60) -> dict[str, Drawing]:
    """A drawing for every system of a book, no two alike."""
    names = [name for item in pages.exercises for name in item.systems]
    return {name: staff(place, height=height) for place, name in enumerate(names)}
