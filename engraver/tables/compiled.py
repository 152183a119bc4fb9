"""Tables in compiled form: what was read of a table is kept beside it, where Python keeps its compiled modules.

To read a table's YAML takes ten times as long as to take its values from there; a small build reads twelve tables. A
kept table carries the hash of the text it was made from, so that it is never out of date.
"""

import hashlib
import marshal
import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

_DIGEST_BYTES = hashlib.sha256().digest_size


def table_content(path: Path) -> Any:
    """The plain values of a table file. Raises OSError and YAMLError for one that cannot be read."""
    text = path.read_bytes()
    digest = hashlib.sha256(text).digest()
    kept = path.parent / "__pycache__" / f"{path.stem}.{sys.implementation.cache_tag}.table"
    with suppress(OSError, ValueError, EOFError, TypeError):  # missing or damaged: read the table itself
        data = kept.read_bytes()
        if data[:_DIGEST_BYTES] == digest:
            return marshal.loads(data[_DIGEST_BYTES:])
    from engraver.tables.yaml_reader import yaml_reader

    content = yaml_reader().load(text.decode("utf-8"))
    if not sys.dont_write_bytecode:
        with suppress(OSError, ValueError):  # a folder that must not be written to, a value that is not plain
            _keep(kept, digest + marshal.dumps(content))
    return content


def _keep(path: Path, data: bytes) -> None:
    """Writes a file, there whole or not at all."""
    path.parent.mkdir(exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}")
    part.write_bytes(data)
    part.replace(path)
