"""An explanation as sections of lines and tables, and how it is written as plain text or on a terminal."""

from dataclasses import dataclass

_GUTTER = "  "


@dataclass(frozen=True, slots=True)
class Section:
    """One section: a heading, sentences, and a table below them (no columns = no table)."""

    heading: str
    lines: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


def plain_text(sections: tuple[Section, ...]) -> str:
    """The whole explanation as text, columns lined up with blanks."""
    return "\n\n".join(_plain_section(section) for section in sections) + "\n"


def print_on_terminal(sections: tuple[Section, ...]) -> None:
    """The explanation on a terminal: headings in bold, tables ruled."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console()
    for section in sections:
        console.print(Text(section.heading, style="bold"))
        for line in section.lines:
            console.print(Text(line))
        if section.columns:
            table = Table(*section.columns)
            for row in section.rows:
                table.add_row(*(Text(cell) for cell in row))
            console.print(table)
        console.print()


def _plain_section(section: Section) -> str:
    lines = [section.heading, *(_GUTTER + line for line in section.lines)]
    if section.columns:
        table = (section.columns, *section.rows)
        widths = [max(len(row[column]) for row in table) for column in range(len(section.columns))]
        for row in table:
            cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
            lines.append((_GUTTER + _GUTTER.join(cells)).rstrip())
    return "\n".join(lines)
