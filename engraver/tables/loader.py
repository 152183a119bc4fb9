"""Reads a table once, checks it, and hands out frozen rows.

Every table opens with `about`, `source` (work and page, standard and clause, or "chosen by us") and `units`;
its rows are checked by a frozen pydantic model that the using room declares beside its own code.
"""

from functools import cache
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from engraver.errors import Place, TableError

_FOLDER = Path(__file__).parent


class Table(BaseModel):
    """What every table says of itself; a table's model adds its rows."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    about: str
    source: str
    units: str


_Model = TypeVar("_Model", bound=Table)


def read_table(name: str, model: type[_Model]) -> _Model:
    """The table `tables/<name>.yaml` as a frozen model, read once. Raises TableError when it is damaged."""
    table = _read(name, model)
    assert isinstance(table, model)
    return table


@cache
def _read(name: str, model: type[Table]) -> Table:
    from ruamel.yaml.error import YAMLError

    from engraver.tables.compiled import table_content

    try:
        return model.model_validate(table_content(_FOLDER / f"{name}.yaml"))
    except (OSError, YAMLError, ValidationError) as error:
        raise TableError(f"the table '{name}' cannot be read: {error}", Place(f"tables/{name}.yaml")) from error


def table_names() -> tuple[str, ...]:
    """The names of all tables, in alphabetical order."""
    return tuple(sorted(path.relative_to(_FOLDER).with_suffix("").as_posix() for path in _FOLDER.rglob("*.yaml")))
